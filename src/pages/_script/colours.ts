/** Where a reader's choice of colours is remembered. */
const KEY = 'gapbook-colours';

export type Colours = 'paper' | 'slate';

/** Files may have no storage, or forbid it. */
export function remembered(): Colours | null {
  try {
    const value = localStorage.getItem(KEY);
    return value === 'paper' || value === 'slate' ? value : null;
  } catch {
    return null;
  }
}

export function remember(colours: Colours | null): void {
  try {
    if (colours) localStorage.setItem(KEY, colours);
    else localStorage.removeItem(KEY);
  } catch {
    // The choice then holds for this page alone.
  }
}

/** Sets the colours of the page; null leaves them to the reader's system. */
export function show(colours: Colours | null): void {
  if (colours) document.documentElement.dataset['colours'] = colours;
  else delete document.documentElement.dataset['colours'];
}
