import ts from "typescript";

/** One change of a source text that a test should notice. */
export type Mutant = Readonly<{
  file: string;
  line: number;
  from: number;
  to: number;
  was: string;
  becomes: string;
  /** The named functions it stands in, the innermost first. */
  within: readonly string[];
}>;

const swapped = new Map<ts.SyntaxKind, string>([
  [ts.SyntaxKind.LessThanToken, "<="],
  [ts.SyntaxKind.LessThanEqualsToken, "<"],
  [ts.SyntaxKind.GreaterThanToken, ">="],
  [ts.SyntaxKind.GreaterThanEqualsToken, ">"],
  [ts.SyntaxKind.EqualsEqualsEqualsToken, "!=="],
  [ts.SyntaxKind.ExclamationEqualsEqualsToken, "==="],
  [ts.SyntaxKind.AmpersandAmpersandToken, "||"],
  [ts.SyntaxKind.BarBarToken, "&&"],
  [ts.SyntaxKind.PlusToken, "-"],
  [ts.SyntaxKind.MinusToken, "+"],
  [ts.SyntaxKind.AsteriskToken, "/"],
  [ts.SyntaxKind.SlashToken, "*"],
]);

const otherMethod: Readonly<Record<string, string>> = {
  some: "every",
  every: "some",
  max: "min",
  min: "max",
  floor: "ceil",
  ceil: "floor",
};

type Change = Readonly<{ node: ts.Node; becomes: string }>;

/** Every change by the rules, in the order of the text: comparisons, logic, arithmetic, numbers, flags, branches, early returns. */
export function mutantsIn(file: string, text: string): readonly Mutant[] {
  const kind = file.endsWith("x") ? ts.ScriptKind.TSX : ts.ScriptKind.TS;
  const source = ts.createSourceFile(file, text, ts.ScriptTarget.Latest, true, kind);
  const found: Mutant[] = [];
  const visit = (node: ts.Node, around: readonly string[]): void => {
    if (ts.isTypeNode(node) || ts.isImportDeclaration(node) || ts.isTypeAliasDeclaration(node)) return;
    for (const { node: place, becomes } of changesOf(node)) {
      const [from, to] = [place.getStart(source), place.getEnd()];
      const line = source.getLineAndCharacterOfPosition(from).line + 1;
      found.push({ file, line, from, to, was: text.slice(from, to), becomes, within: around });
    }
    const name = functionName(node);
    const within = name === undefined ? around : [name, ...around];
    ts.forEachChild(node, (child) => visit(child, within));
  };
  visit(source, []);
  return found;
}

/** As the engine names it: by itself, or after the constant or the field it is given to. */
function functionName(node: ts.Node): string | undefined {
  if (!ts.isFunctionLike(node)) return undefined;
  const named = node.name ?? nameGiven(node.parent);
  return named && (ts.isIdentifier(named) || ts.isStringLiteral(named)) ? named.text : undefined;
}

const nameGiven = (parent: ts.Node): ts.Node | undefined =>
  ts.isVariableDeclaration(parent) || ts.isPropertyAssignment(parent) ? parent.name : undefined;

function changesOf(node: ts.Node): readonly Change[] {
  if (ts.isBinaryExpression(node)) return operatorChanges(node);
  if (ts.isNumericLiteral(node)) return [{ node, becomes: numberChanged(node.text) }];
  if (node.kind === ts.SyntaxKind.TrueKeyword) return [{ node, becomes: "false" }];
  if (node.kind === ts.SyntaxKind.FalseKeyword) return [{ node, becomes: "true" }];
  if (ts.isPrefixUnaryExpression(node) && node.operator === ts.SyntaxKind.ExclamationToken)
    return [{ node, becomes: `!!${node.operand.getText()}` }];
  if (ts.isConditionalExpression(node))
    return [{ node: node.condition, becomes: `!(${node.condition.getText()})` }];
  if (ts.isIfStatement(node))
    return [{ node: node.expression, becomes: `false && (${node.expression.getText()})` }];
  if (ts.isPropertyAccessExpression(node)) return methodChanges(node);
  return [];
}

/** Words joined by a plus, and a type's bounds, are not arithmetic. */
function operatorChanges({ operatorToken, left, right }: ts.BinaryExpression): readonly Change[] {
  const becomes = swapped.get(operatorToken.kind);
  const isText = [left, right].some((side) => ts.isStringLiteralLike(side) || ts.isTemplateExpression(side));
  if (becomes === undefined || (operatorToken.kind === ts.SyntaxKind.PlusToken && isText)) return [];
  return [{ node: operatorToken, becomes }];
}

const numberChanged = (text: string): string => {
  const value = Number(text.replaceAll("_", ""));
  return value === 0 ? "1" : `${value * 2}`;
};

function methodChanges({ name }: ts.PropertyAccessExpression): readonly Change[] {
  const becomes = Object.hasOwn(otherMethod, name.text) ? otherMethod[name.text] : undefined;
  return becomes === undefined ? [] : [{ node: name, becomes }];
}

export const mutated = (text: string, { from, to, becomes }: Mutant): string =>
  text.slice(0, from) + becomes + text.slice(to);
