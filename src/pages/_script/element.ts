type Child = Node | string | null;

/** An HTML element with its attributes and children; what is null is left out. */
export function element<K extends keyof HTMLElementTagNameMap>(
  name: K,
  attributes: Readonly<Record<string, string | null>> = {},
  ...children: readonly Child[]
): HTMLElementTagNameMap[K] {
  const made = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) if (value !== null) made.setAttribute(key, value);
  made.append(...children.filter((child) => child !== null));
  return made;
}

/** Runs `act` once nothing has asked for it for a while; `now` runs what is waiting. */
export function settled(act: () => void, afterMs: number): { ask(): void; now(): void } {
  let timer: ReturnType<typeof setTimeout> | undefined;
  const run = (): void => {
    timer = undefined;
    act();
  };
  return {
    ask(): void {
      clearTimeout(timer);
      timer = setTimeout(run, afterMs);
    },
    now(): void {
      if (timer === undefined) return;
      clearTimeout(timer);
      run();
    },
  };
}
