/** What a page keeps in its address: `#at=1204&laps=a,b`. Anchors of the page itself stay what they are. */
export type State = Readonly<Record<string, string>>;

/** State in a fragment; empty for a plain anchor. */
export function stateOf(fragment: string): State {
  const text = fragment.replace(/^#/, '');
  if (!text.includes('=')) return {};
  const pairs = text.split('&').map((pair) => {
    const [key = '', ...rest] = pair.split('=');
    return [key, decoded(rest.join('='))] as const;
  });
  return Object.fromEntries(pairs.filter(([key, value]) => key !== '' && value !== ''));
}

/** Somebody may have cut an address off in the middle of an escape. */
function decoded(text: string): string {
  try {
    return decodeURIComponent(text);
  } catch {
    return '';
  }
}

/** The fragment of a state, empty for an empty one; keys sorted. */
export function fragmentOf(state: State): string {
  const pairs = Object.keys(state)
    .sort()
    .map((key) => `${key}=${encodeURIComponent(state[key]!).replaceAll('%2C', ',')}`);
  return pairs.length > 0 ? `#${pairs.join('&')}` : '';
}

/**
 * Puts one value of the state into the address, or takes it out. Never a new step of the history: going back leads off
 * the page, as it did before.
 */
export function keepInAddress(key: string, value: string | null): void {
  const { [key]: before, ...rest } = stateOf(location.hash);
  if (before === (value ?? undefined)) return;
  const fragment = fragmentOf(value === null ? rest : { ...rest, [key]: value });
  try {
    history.replaceState(history.state, '', fragment || location.pathname + location.search);
  } catch {
    // A browser that allows no such thing on files leaves the address as it is.
  }
}

/** Whether the page was opened just now from a link or the address line, and not gone back to or loaded again. */
export function openedByLink(): boolean {
  const [entry] = performance.getEntriesByType('navigation') as PerformanceNavigationTiming[];
  return entry?.type === 'navigate';
}
