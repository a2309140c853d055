import { type Problem, placeText } from '../problem.ts';
import { notesOf } from '../report/notes/note.ts';
import type { Results } from '../report/readResults.ts';
import { plural } from '../report/words.ts';

const STYLE = `#live{position:fixed;z-index:9;right:1rem;bottom:1rem;max-width:min(30rem,calc(100vw - 2rem));max-height:60vh;overflow:auto;
padding:.6rem .9rem;border:1px solid var(--rule,#999);border-radius:4px;background:var(--page,#fff);color:var(--ink,#111);
font:13px/1.4 Inter,system-ui,sans-serif;box-shadow:0 2px 12px #0003}#live summary{cursor:pointer;font-weight:600}
#live ol{margin:.5rem 0 0;padding:0;list-style:none}#live li{padding:.4rem 0;border-top:1px solid var(--rule,#999)}#live p{margin:0}
#live .at{font-weight:600}#live code{font-size:.95em;background:color-mix(in srgb,currentColor 8%,transparent);padding:0 .2em}@media print{#live{display:none}}`;

/** Reloads the page when the server says that something changed; where it was scrolled to is kept by the browser. */
const SCRIPT = `(()=>{const from=new EventSource('/-/changes');let version=null;from.onmessage=e=>{if(version===null)version=e.data;else if(version!==e.data)location.reload()}})()`;

/** Problems that somebody who writes wants to see: what stops or warns, and claims still to be confirmed. */
const worthShowing = (p: Problem): boolean =>
  p.accepted === undefined && (p.severity !== 'note' || p.code === 'CLAIM_UNCONFIRMED');

/**
 * A page with a panel of what is wrong, that of its own notes first, and a script that loads it again on a change.
 *
 * @param path site path of the page
 * @param failed why the inputs could not be read or the page not be rendered; null where all went well
 */
export function withPanel(
  html: string,
  path: string,
  { results, problems, failed }: { results: Results; problems: readonly Problem[]; failed: string | null },
): string {
  const own = new Set(
    notesOf(results)
      .filter((note) => note.page === path)
      .map((note) => note.file),
  );
  const shown = problems.filter(worthShowing);
  const here = shown.filter((p) => own.has(p.place.file));
  const rest = shown.filter((p) => !own.has(p.place.file));
  const count =
    shown.length === 0
      ? 'No problem'
      : `${plural(shown.length, 'problem')}${own.size === 0 ? '' : `, ${here.length === 0 ? 'none' : here.length} in the notes of this page`}`;
  const panel = `<aside id="live" aria-label="While writing"><style>${STYLE}</style>${
    failed === null ? '' : `<p role="alert" class="at">${escaped(failed)}</p>`
  }${
    shown.length === 0
      ? `<p>${count}</p>`
      : `<details${here.length > 0 ? ' open' : ''}><summary>${count}</summary><ol>${[...here, ...rest].map(item).join('')}</ol></details>`
  }</aside><script>${SCRIPT}</script>`;
  const end = html.lastIndexOf('</body>');
  return end < 0 ? html + panel : html.slice(0, end) + panel + html.slice(end);
}

const item = ({ severity, place, found, expected, remedy }: Problem): string =>
  `<li><p class="at">${escaped(placeText(place))} · ${{ stop: 'stops', warn: 'warning', note: 'note' }[severity]}</p><p>found ${coded(found)}</p><p>expected ${coded(expected)}</p><p>to do: ${coded(remedy)}</p></li>`;

const escaped = (text: string): string =>
  text.replace(/[&<>"]/g, (c) => ({ '&': '&amp;', '<': '&lt;', '>': '&gt;', '"': '&quot;' })[c]!);

/** Text with what stands in backticks set as code. */
const coded = (text: string): string => escaped(text).replace(/`([^`]+)`/g, '<code>$1</code>');
