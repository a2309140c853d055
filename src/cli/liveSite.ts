import { join } from 'node:path';
import { setImmediate as turn } from 'node:timers/promises';
import type { Effects } from '../effects.ts';
import type { Problem } from '../problem.ts';
import { siteFiles } from '../report/tables/siteFiles.ts';
import type { BuildPlan } from './build.ts';
import { filesBelow } from './codeHash.ts';
import { KeptPages } from './keptPages.ts';
import { withPanel } from './livePanel.ts';
import { alone, LOCK } from './lock.ts';
import { type Written, writeResults } from './resultsFolder.ts';
import { allProblems } from './said.ts';
import { renderSite } from './site.ts';

/**
 * A site that follows its inputs: a page is rendered when it is asked for, with the results as they are, and the files
 * of the site come after when nothing else is to be done.
 */
export class LiveSite {
  readonly #plan: BuildPlan;
  readonly #effects: Effects;
  readonly #pages = new KeptPages();
  #results: Written | null = null;
  #problems: readonly Problem[] = [];
  #failed: string | null = null;
  /** Pages with the keys that their files in the folder were written under. */
  #written = new Map<string, string | null>();

  constructor(plan: BuildPlan, effects: Effects) {
    this.#plan = plan;
    this.#effects = effects;
  }

  /** Tells inputs from any others. */
  get version(): string {
    return (this.#results?.hash ?? '') + (this.#failed ?? '');
  }

  get problems(): readonly Problem[] {
    return this.#problems;
  }

  /** Builds the whole site. */
  async build(): Promise<void> {
    await alone(LOCK, this.#effects, async () => {
      const written = await this.#analyse();
      const { out, cache, editions } = this.#plan;
      await renderSite(written, out, cache, this.#effects, editions, this.#pages);
    });
    this.#written = new Map((await this.#pages.list()).map(({ path, key }) => [path, key]));
  }

  /** Reads the inputs again; what is wrong with them is shown, and never ends the serving. */
  async refresh(): Promise<void> {
    try {
      this.#pages.open(await alone(LOCK, this.#effects, () => this.#analyse()));
      this.#failed = null;
    } catch (error) {
      this.#failed = said(error);
      this.#effects.err(this.#failed);
    }
  }

  async #analyse(): Promise<Written> {
    const { folders, cache, date, editions } = this.#plan;
    const records = editions.map(({ record }) => record);
    const written = await writeResults(folders, cache, date, this.#effects, { editions: records });
    this.#results = written;
    this.#problems = allProblems(written.campaign, written.sessions);
    return written;
  }

  /** A page as it is now, with the panel of problems; null where there is no such page. */
  async page(path: string): Promise<string | null> {
    if (!this.#results) return null;
    const shown = { results: this.#results, problems: this.#problems, failed: this.#failed };
    try {
      const html = await this.#pages.render(path);
      return html && withPanel(html, path, shown);
    } catch (error) {
      const failed = `This page could not be rendered: ${said(error)}`;
      this.#effects.err(failed);
      return withPanel('<!doctype html><html lang="en"><title>Not rendered</title><body></body></html>', path, {
        ...shown,
        failed,
      });
    }
  }

  /**
   * Brings the files of the site up to date, one after the other.
   *
   * @param stopped asked in between: whether something else is to be done first
   */
  async settle(stopped: () => boolean): Promise<void> {
    if (!this.#results) return;
    const kept = new Set(['campaign.json', 'script.js', 'style.css']);
    for (const { path, key } of await this.#pages.list()) {
      kept.add(path);
      if (key !== null && this.#written.get(path) === key) continue;
      await turn();
      if (stopped()) return;
      const html = await this.#pages.render(path);
      if (html === null) continue;
      await this.#put(path, html);
      this.#written.set(path, key);
    }
    for (const [path, text] of siteFiles(this.#results)) {
      kept.add(path);
      await this.#put(path, text);
      await turn();
      if (stopped()) return;
    }
    // What is gone; editions are carried as they are.
    for (const file of await filesBelow(this.#plan.out, this.#effects)) {
      const path = file.slice(this.#plan.out.length + 1);
      if (!kept.has(path) && !path.startsWith('editions/') && /\.(html|csv|json|xml)$/.test(path))
        await this.#effects.remove(file);
    }
  }

  async #put(path: string, text: string): Promise<void> {
    const file = join(this.#plan.out, path);
    if ((await this.#effects.text(file).catch(() => null)) !== text) await this.#effects.write(file, text);
  }
}

const said = (error: unknown): string => (error instanceof Error ? error.message : String(error));
