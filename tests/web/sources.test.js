/** What the pages' scripts keep to, read by TypeScript's own parser. */
import assert from 'node:assert/strict';
import { after, test } from 'node:test';
import { fileURLToPath } from 'node:url';
import { SyntaxKind } from 'typescript/unstable/ast';
import { API } from 'typescript/unstable/sync';

const FUNCTION_LINES = 70;
const FUNCTIONS = new Set([
  SyntaxKind.FunctionDeclaration, SyntaxKind.FunctionExpression, SyntaxKind.ArrowFunction, SyntaxKind.MethodDeclaration,
  SyntaxKind.Constructor, SyntaxKind.GetAccessor, SyntaxKind.SetAccessor,
]);

const parser = new API({ cwd: fileURLToPath(new URL('.', import.meta.url)) });
after(() => parser.close());
const { program } = parser.updateSnapshot({ openProject: fileURLToPath(new URL('tsconfig.json', import.meta.url)) }).getProjects()[0];
const files = program.getSourceFileNames()
  .filter((path) => /\/static\/js\/.*\.js$/.test(path))
  .map((path) => ({ name: path.replace(/.*\/static\/js\//, ''), source: program.getSourceFile(path) }));

/** Every node of a file with the lines it takes, its comment not counted. */
function* nodesOf(source, node = source) {
  const lineAt = (place) => source.text.slice(0, place).split('\n').length;
  const from = node.getStart(source);
  yield { node, line: lineAt(from), lines: () => lineAt(node.end) - lineAt(from) + 1 };
  const children = [];
  node.forEachChild((child) => void children.push(child));
  for (const child of children) yield* nodesOf(source, child);
}

/** What is found of one kind, as "file:line what". */
const found = (matches, say) => files.flatMap(({ name, source }) => [...nodesOf(source)].filter(matches)
  .map((one) => `${name}:${one.line} ${say(one)}`));

test('the parser sees the scripts and their functions', () => {
  assert.ok(files.length > 80);
  assert.ok(found(({ node }) => FUNCTIONS.has(node.kind), () => '').length > 1000);
});

test('no function is longer than 70 lines', () => {
  const isLong = ({ node, lines }) => FUNCTIONS.has(node.kind) && lines() > FUNCTION_LINES;
  assert.deepEqual(found(isLong, ({ node, lines }) => `${node.name?.text ?? ''}: ${lines()} lines`), []);
});

/** Where the browser itself gives no type. */
const ANY = {
  'shell/console_api.js': 1, // what an answer over HTTP holds
  'shell/storage.js': 1, // what lay on the device's disk
};

test('no type is left open but for what comes out of JSON', () => {
  const isOpen = ({ node }) => node.kind === SyntaxKind.AnyKeyword || node.kind === SyntaxKind.JSDocAllType;
  const counts = files.map(({ name, source }) => [name, [...nodesOf(source)].filter(isOpen).length]);
  assert.deepEqual(Object.fromEntries(counts.filter(([, count]) => count > 0)), ANY);
});
