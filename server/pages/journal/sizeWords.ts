import { formatNumber } from "../../html/format.ts";

export const sizeWords = (bytes: number): string =>
  bytes < 1 << 20
    ? `${formatNumber(Math.ceil(bytes / 1024))} KiB`
    : `${formatNumber(bytes / (1 << 20), 1)} MiB`;
