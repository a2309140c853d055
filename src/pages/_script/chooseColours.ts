import { type Colours, remember, remembered, show } from './colours.ts';
import { element } from './element.ts';

const CHOICES: readonly (readonly [Colours | null, string, string])[] = [
  ['paper', 'Paper', 'Dark ink on paper'],
  ['slate', 'Slate', 'Light ink on slate'],
  [null, 'Auto', 'As the system has it'],
];

/** Three small words in the running head: paper, slate, or as the system has it. */
export function chooseColours(): void {
  const head = document.querySelector('.running');
  if (!head) return;
  let chosen = remembered();
  const buttons = CHOICES.map(([colours, text, title]) => {
    const button = element('button', { type: 'button', title }, text);
    button.addEventListener('click', () => {
      chosen = colours;
      remember(colours);
      apply();
    });
    return button;
  });
  const apply = (): void => {
    show(chosen);
    buttons.forEach((button, i) => {
      button.setAttribute('aria-pressed', String(CHOICES[i]![0] === chosen));
    });
    paintFrame(chosen);
  };
  head.append(element('div', { class: 'colours', role: 'group', 'aria-label': 'Colours of the page' }, ...buttons));
  apply();
  // Another page of the report may be open beside this one.
  addEventListener('storage', () => {
    chosen = remembered();
    apply();
  });
}

/** The browser's own frame goes with the page. */
function paintFrame(chosen: Colours | null): void {
  for (const meta of document.querySelectorAll<HTMLMetaElement>('meta[name="theme-color"]')) {
    const own = (meta.dataset['own'] ??= meta.content);
    meta.content = chosen ? getComputedStyle(document.documentElement).getPropertyValue('--page').trim() : own;
  }
}
