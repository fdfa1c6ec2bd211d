/** Three records in two hundred are wrong; a wrong one is a pass half the time, and a crash in this window 0.15 of it. */
export const wrongShare = 0.015;
export const wrongPass = wrongShare * 0.5;
export const wrongCrash = wrongShare * 0.15;
