/** What this browser keeps by itself. A browser that keeps nothing is no reason to stop. */
export const remembered = (key: string): string | null => {
  try {
    return localStorage.getItem(key);
  } catch {
    return null;
  }
};

export const remember = (key: string, value: string | null): void => {
  try {
    if (value === null) localStorage.removeItem(key);
    else localStorage.setItem(key, value);
  } catch {
    // Private windows and full storage refuse: the page works on without.
  }
};
