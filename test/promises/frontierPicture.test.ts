import { expect, it } from "vitest";
import { frontierSvg, type RulePoint } from "./frontierPicture.ts";

const exactly = (mean: number) => ({ mean, error: 1, count: 200 });
const rule = (name: string, under: number, unfit: number, ours = false): RulePoint => ({
  ...{ rule: name, under: exactly(under), unfit: { mean: unfit, error: 0.02, count: 200 } },
  ...{ minutes: exactly(90), ours },
});

it("draws each rule nearer the left the nearer the truth, lower the seldomer unfit, with its name inside the picture", () => {
  const svg = frontierSvg("chips", [rule("near", 20, 0.08, true), rule("far", 70, 0.02)]);
  const circles = [...svg.matchAll(/<circle cx="([\d.]+)" cy="([\d.]+)" r="(\d)"/g)].map(([, x, y, r]) => [
    Number(x),
    Number(y),
    r,
  ]);
  expect(circles).toHaveLength(2);
  const [near, far] = circles as [[number, number, string], [number, number, string]];
  expect(near[0]).toBeLessThan(far[0]);
  expect(near[1]).toBeLessThan(far[1]);
  expect([near[2], far[2]]).toEqual(["6", "4"]);
  expect(svg).toMatch(/text-anchor="start">near \(90 min\)/);
  expect(svg).toMatch(/text-anchor="end">far \(90 min\)/);
});
