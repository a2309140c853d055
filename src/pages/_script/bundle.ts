import { join } from 'node:path';
import { build, type Plugin } from 'esbuild';

const ready = new Map<string, Promise<string>>();

/**
 * One of the scripts here as a classic script with all that it imports, small, the same bytes at every build. It runs
 * from a file, where modules may not.
 *
 * @param entry file of this folder
 */
export function bundle(entry: 'main.ts' | 'beforePaint.ts'): Promise<string> {
  let made = ready.get(entry);
  if (!made) ready.set(entry, (made = bundled(entry)));
  return made;
}

async function bundled(entry: string): Promise<string> {
  // Pages are built from a bundle elsewhere, in the root of the project.
  const result = await build({
    entryPoints: [join(process.cwd(), 'src/pages/_script', entry)],
    absWorkingDir: process.cwd(),
    bundle: true,
    write: false,
    metafile: true,
    format: 'iife',
    target: 'es2022',
    charset: 'utf8',
    minify: true,
    legalComments: 'none',
    logLevel: 'silent',
    tsconfigRaw: {},
    plugins: [noPackages],
  });
  const needed = Object.values(result.metafile.outputs).flatMap((output) => output.imports.map(({ path }) => path));
  if (needed.length > 0)
    throw new Error(`The script of the pages would need ${needed.join(', ')}, and may need nothing.`);
  return result.outputFiles[0]!.text;
}

/**
 * Words and axes come from the files that pages are made with. What these files need packages for is not used by the
 * script: no file does anything when it is merely imported, so what is unused falls away.
 */
const noPackages: Plugin = {
  name: 'no packages',
  setup({ onResolve, resolve }) {
    onResolve({ filter: /^[^./]/ }, ({ path, kind }) =>
      kind === 'entry-point' ? null : { path, external: true, sideEffects: false },
    );
    onResolve({ filter: /^\./ }, async ({ path, pluginData, ...from }) => {
      if (pluginData === 'seen') return null;
      const found = await resolve(path, { ...from, pluginData: 'seen' });
      return { path: found.path, errors: found.errors, sideEffects: false };
    });
  },
};
