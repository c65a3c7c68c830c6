// Arrows point one way: core knows nothing of the server, and nothing but itself.
// Its parser reads every file as plain TypeScript, and would stop at the first element of a page.
const { Compiler } = require('@swc/core');
const parseFileSync = Compiler.prototype.parseFileSync;
Compiler.prototype.parseFileSync = function (file, options) {
  return parseFileSync.call(this, file, { ...options, tsx: file.endsWith('.tsx') });
};

module.exports = {
  forbidden: [
    {
      name: 'core-is-pure',
      comment: 'core computes: no packages, no Node built-ins, nothing outside core',
      severity: 'error',
      from: { path: '^core/' },
      to: { pathNot: '^core/' },
    },
    {
      name: 'server-does-not-know-seed-or-tests',
      severity: 'error',
      from: { path: '^server/' },
      to: { path: '^(seed-demo|test)/' },
    },
    {
      name: 'seed-does-not-know-tests',
      severity: 'error',
      from: { path: '^seed-demo/' },
      to: { path: '^test/' },
    },
    {
      name: 'no-circles',
      severity: 'error',
      from: { path: '^(core|server|seed-demo)/', pathNot: '^server/db/generated/' },
      to: { circular: true },
    },
    { name: 'resolves', severity: 'error', from: { pathNot: '^server/db/generated/' }, to: { couldNotResolve: true } },
  ],
  options: {
    doNotFollow: { path: 'node_modules' },
    tsPreCompilationDeps: true,
    tsConfig: { fileName: 'tsconfig.json' },
    parser: 'swc',
    enhancedResolveOptions: {
      exportsFields: ['exports'],
      conditionNames: ['import', 'require', 'node', 'default'],
      extensions: ['.ts', '.tsx', '.js', '.json', '.mjs'],
    },
  },
};
