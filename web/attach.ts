/** Gives every element that carries a behaviour's attribute that behaviour, once, also when it is swapped in later. */
export type Behaviour = Readonly<{ on: string; attach: (element: HTMLElement) => void }>;

const carriers = (root: ParentNode, selector: string): readonly HTMLElement[] => {
  const inside = [...root.querySelectorAll<HTMLElement>(selector)];
  return root instanceof HTMLElement && root.matches(selector) ? [root, ...inside] : inside;
};

export const attachAll = (behaviours: readonly Behaviour[]): void => {
  const attached = new Map(behaviours.map((behaviour) => [behaviour, new WeakSet<Element>()]));
  const attachIn = (root: ParentNode): void => {
    for (const [behaviour, seen] of attached) {
      for (const element of carriers(root, behaviour.on)) {
        if (seen.has(element)) continue;
        seen.add(element);
        behaviour.attach(element);
      }
    }
  };
  attachIn(document);
  new MutationObserver((changes) => {
    for (const { addedNodes } of changes) {
      for (const node of addedNodes) if (node instanceof HTMLElement) attachIn(node);
    }
  }).observe(document.body, { childList: true, subtree: true });
};
