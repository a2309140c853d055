import { existsSync } from 'node:fs';
import { basename, join, resolve } from 'node:path';
import { type Command, UsageError } from './command.ts';
import { printed, printedWhole } from './printed.ts';

/** `gapbook print`: a page of the built site as PDF. */
export const print: Command = {
  name: 'print',
  usage: `gapbook print PAGE [--out dist] [--to FILE.pdf]

Prints a page of the built site to an A4 PDF, tagged and with its fonts inside: \`gapbook print sessions/2026-03-17-latest\`.
PAGE is the page's place in the site, with or without \`.html\`; the front page is \`index\`. With --whole a milestone is printed
with its brief, sessions, laps and method as one document with contents: \`gapbook print milestones/first --whole\`.`,
  options: {
    out: { kind: 'text', help: 'folder of the built site', default: 'dist' },
    to: { kind: 'text', help: 'file to write; the name of the page where it is left out' },
    whole: { kind: 'flag', help: 'a milestone with everything that it stands on, as one document' },
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
    const browser = args.text('browser');
    const pdf = args.flag('whole') ? await printedWhole(file, browser) : await printed(file, browser);
    if (!pdf) throw new UsageError(`\`${page}\` is not the page of a milestone, so there is no whole of it to print`);
    await effects.write(to, pdf);
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
