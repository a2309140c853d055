import { existsSync } from 'node:fs';
import { basename, join, resolve } from 'node:path';
import { pathToFileURL } from 'node:url';
import { browserPath } from './browserPath.ts';
import { type Command, UsageError } from './command.ts';

/** `gapbook print`: a page of the built site as PDF. */
export const print: Command = {
  name: 'print',
  usage: `gapbook print PAGE [--out dist] [--to FILE.pdf]

Prints a page of the built site to an A4 PDF, tagged and with its fonts inside: \`gapbook print sessions/2026-03-17-latest\`.
PAGE is the page's place in the site, with or without \`.html\`; the front page is \`index\`.`,
  options: {
    out: { kind: 'text', help: 'folder of the built site', default: 'dist' },
    to: { kind: 'text', help: 'file to write; the name of the page where it is left out' },
    browser: { kind: 'text', help: 'a Chromium to print with; one is found where it is left out' },
  },
  async run(args, effects) {
    const [page] = args.words;
    if (page === undefined || args.words.length > 1)
      throw new UsageError('`gapbook print` takes one page, such as `index`');
    const out = args.text('out') ?? 'dist';
    const file = pageFile(out, page);
    const to = args.text('to') ?? `${basename(file, '.html')}.pdf`;
    effects.progress(`printing ${page}`);
    await effects.write(to, await printed(file, args.text('browser')));
    effects.out(`${to} written`);
    return 0;
  },
};

/** The page's file. Throws UsageError where the site has no such page. */
function pageFile(out: string, page: string): string {
  const inside = page.replace(/^\/+|\/+$/g, '').replace(/\.html$/, '');
  const candidates = [`${inside}.html`, join(inside, 'index.html')].map((name) => resolve(out, name));
  const found = candidates.find((path) => path.startsWith(resolve(out)) && existsSync(path));
  if (found) return found;
  throw new UsageError(
    existsSync(join(out, 'index.html'))
      ? `the site in ${out} has no page \`${inside}\`; take its address in the browser, from behind the folder of the site`
      : `no site in ${out}; \`gapbook build --out ${out}\` makes it`,
  );
}

/**
 * A page as PDF: tagged, with an outline, fonts inside, dates left out, so that the same page gives the same bytes.
 *
 * @param file of the page
 * @param browser path of a Chromium; null finds one
 */
export async function printed(file: string, browser: string | null): Promise<Uint8Array> {
  const { chromium } = await import('playwright-core');
  const running = await chromium.launch({
    executablePath: browser ?? (await browserPath()),
    args: ['--no-sandbox', '--disable-gpu', '--no-first-run', '--disable-background-networking', '--disable-sync'],
  });
  try {
    const page = await running.newPage({ colorScheme: 'light' });
    await page.goto(pathToFileURL(file).href, { waitUntil: 'load' });
    // Nobody can open a part of a page on paper.
    await page.evaluate(() => {
      for (const part of document.querySelectorAll('details')) part.open = true;
    });
    await page.evaluate(() => document.fonts.ready);
    const pdf = await page.pdf({ preferCSSPageSize: true, printBackground: true, tagged: true, outline: true });
    return undated(pdf);
  } finally {
    await running.close();
  }
}

/** The dates of a PDF overwritten by zeros of the same length. */
function undated(pdf: Uint8Array): Uint8Array {
  const text = Buffer.from(pdf).toString('latin1');
  return Buffer.from(
    text.replace(/\/(CreationDate|ModDate) \(D:[^)]*\)/g, (all) => all.replace(/\d/g, '0')),
    'latin1',
  );
}
