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
const pages = process.env['GAPBOOK_PAGES'];

export default defineConfig({
  root,
  srcDir: './src',
  outDir: isAbsolute(out) ? out : resolve(root, out),
  publicDir: './src/pages/_public',
  output: 'static',
  // Pages are single files that link to each other by name, so that they work from a folder, a stick or any host.
  build: { format: 'file' },
  compressHTML: true,
  devToolbar: { enabled: false },
  // Rendered pages are kept from build to build; getStaticPaths says by `cacheKey` what each of them reads.
  ...(pages ? { cacheDir: pages, experimental: { incrementalBuild: true } } : {}),
  // `gapbook build` empties the folder itself, all but the mark by which it knows the folder as its own.
  vite: { build: { target: 'es2022', emptyOutDir: false }, logLevel: 'warn' },
});
