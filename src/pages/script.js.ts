import type { APIRoute } from 'astro';
import { bundle } from './_script/bundle.ts';

/** The one script of the site, beside the front page. */
export const GET: APIRoute = async () => new Response(await bundle('main.ts'));
