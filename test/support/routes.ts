import type { TestServer } from "./bench.ts";

/** Every address the server answers, with its methods: "POST /api/chips". */
export function routesOf({ app }: TestServer): string[] {
  const above: string[] = [];
  return app
    .printRoutes({ commonPrefix: false })
    .split("\n")
    .flatMap((line) => {
      const [, indent, path, methods = ""] = /^([│ ]*)[├└]── (.*) \((.*)\)$/.exec(line) ?? [];
      if (indent === undefined || path === undefined) return [];
      above.length = indent.length / 4;
      above.push(path);
      return methods.split(", ").map((method) => `${method} ${above.join("")}`);
    });
}
