import type { AstroIntegration, AstroPrerenderer } from 'astro';
import { handOver } from '../pages/_parts/results.ts';
import type { StoredResults } from '../report/readResults.ts';

type Path = Awaited<ReturnType<AstroPrerenderer['getStaticPaths']>>[number];

/** A page of the site as it can be rendered now. */
export interface KeptPage {
  /** Site path, `weeks/2026-W11.html`. */
  readonly path: string;
  /** Covers everything that it reads; null where that is not known, and it has to be rendered to tell. */
  readonly key: string | null;
}

/**
 * What a build rendered its pages with, kept so that single pages can be rendered again with other results, to the byte
 * as a build would render them. The code of the pages is that of the build.
 */
export class KeptPages {
  #renderer: AstroPrerenderer | null = null;
  #paths = new Map<string, Path>();

  /** To hand to Astro. */
  integration(): AstroIntegration {
    return {
      name: 'kept pages',
      hooks: {
        'astro:build:start': ({ setPrerenderer }) =>
          setPrerenderer((renderer) => {
            this.#renderer = renderer;
            return renderer;
          }),
      },
    };
  }

  /** Takes other results from now on. */
  open(results: StoredResults): void {
    handOver(results);
    // Astro asks a route for its pages once in a process; here the answer changes.
    (this.#renderer as { app?: { routeCache?: { clearAll(): void } } } | null)?.app?.routeCache?.clearAll();
  }

  /** Every page that there is now. */
  async list(): Promise<readonly KeptPage[]> {
    const paths = (await this.#renderer?.getStaticPaths()) ?? [];
    this.#paths = new Map(paths.map((path) => [fileOf(path), path]));
    return [...this.#paths].flatMap(([path, { cacheKey }]) =>
      path.endsWith('.html') ? [{ path, key: cacheKey ?? null }] : [],
    );
  }

  /** A page by its site path; null where there is none. */
  async render(path: string): Promise<string | null> {
    if (!path.endsWith('.html') || !this.#renderer) return null;
    // What a page is called does not change; only where it is not known there may be a new one.
    if (!this.#paths.has(path)) await this.list();
    const found = this.#paths.get(path);
    if (!found) return null;
    const request = new Request(new URL(encodeURI(path), 'http://localhost/'));
    const rendered = await this.#renderer.render(request, { routeData: found.route });
    const response = rendered instanceof Response ? rendered : rendered.response;
    // A page that is gone since it was listed.
    return response.ok ? response.text() : null;
  }
}

/** The file that a build writes for a path. */
function fileOf({ pathname, route }: Path): string {
  const path = decodeURI(pathname).replace(/^\/+|\/+$/g, '');
  return route.type === 'page' ? `${path === '' ? 'index' : path}.html` : path;
}
