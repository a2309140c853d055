import { dirname, isAbsolute, resolve } from 'node:path';
import { fileURLToPath } from 'node:url';
import { defineConfig } from 'astro/config';

const [major = 0, minor = 0] = process.versions.node.split('.').map(Number);
if (major < 22 || (major === 22 && minor < 18)) {
  throw new Error(
    `The pages need Node 22.18 or later and this is ${process.versions.node}: start them with \`npm run report\` or \`npx astro\`, which use the Node that comes with the packages.`,
  );
}

// The telemetry of the page builder stays off whoever starts it.
process.env['ASTRO_TELEMETRY_DISABLED'] = '1';

const root = dirname(fileURLToPath(import.meta.url));
const out = process.env['GAPBOOK_OUT'] ?? './dist';

export default defineConfig({
  root,
  srcDir: './src',
  outDir: isAbsolute(out) ? out : resolve(root, out),
  publicDir: './src/pages/_public',
  output: 'static',
  // Pages are single files that link to each other by name, so that they work from a folder, a stick or any host.
  build: { format: 'file', inlineStylesheets: 'always' },
  compressHTML: false,
  devToolbar: { enabled: false },
  vite: { build: { target: 'es2022' }, logLevel: 'warn' },
});
