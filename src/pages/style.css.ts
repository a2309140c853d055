import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import type { APIRoute } from 'astro';
import { transform } from 'esbuild';
import { fontFaces } from '../report/fonts.ts';

/** The one style sheet of the site, beside the front page: pages would weigh a tenth more each with it inside. */
export const GET: APIRoute = async () => {
  // Pages are built from a bundle elsewhere, in the root of the project.
  const sheets = ['site.css', 'milestones.css'].map((name) => join(process.cwd(), 'src/pages/_parts', name));
  const text = (await Promise.all(sheets.map((sheet) => readFile(sheet, 'utf8')))).join('\n');
  const { code } = await transform(text, { loader: 'css', minify: true, charset: 'utf8', legalComments: 'none' });
  return new Response(fontFaces() + code);
};
