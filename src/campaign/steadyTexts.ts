import type { Effects } from '../effects.ts';

/** The same effects, with each text read once: whoever asks again sees what was seen first, even if a person saves between. */
export function steadyTexts(effects: Effects): Effects {
  const seen = new Map<string, Promise<string>>();
  return {
    ...effects,
    text(path) {
      let text = seen.get(path);
      if (!text) seen.set(path, (text = effects.text(path)));
      return text;
    },
    write(path, text) {
      seen.delete(path);
      return effects.write(path, text);
    },
    remove(path) {
      seen.delete(path);
      return effects.remove(path);
    },
  };
}
