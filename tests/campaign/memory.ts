import type { Effects } from '../../src/effects.ts';

/** A file system that holds the given texts and nothing else; what is written or said can be looked at. */
export function memory(
  files: Record<string, string>,
): Effects & { readonly files: Map<string, string>; readonly said: string[] } {
  const store = new Map(Object.entries(files));
  const said: string[] = [];
  const below = (path: string): string[] => [...store.keys()].filter((key) => key.startsWith(`${path}/`));
  return {
    files: store,
    said,
    async text(path) {
      const text = store.get(path);
      if (text === undefined) throw new Error(`no file ${path}`);
      return text;
    },
    async *chunks(path) {
      const bytes = new TextEncoder().encode(await this.text(path));
      for (let i = 0; i < bytes.length; i += 1 << 16) yield bytes.subarray(i, i + (1 << 16));
    },
    exists: async (path) => store.has(path) || below(path).length > 0,
    real: async (path) => path,
    async list(path) {
      const names = new Map<string, boolean>();
      for (const key of below(path)) {
        const [first = '', ...rest] = key.slice(path.length + 1).split('/');
        names.set(first, rest.length > 0);
      }
      return [...names].map(([name, folder]) => ({ name, folder })).sort((a, b) => (a.name < b.name ? -1 : 1));
    },
    identity: async () => null,
    async write(path, content) {
      store.set(path, typeof content === 'string' ? content : new TextDecoder().decode(content));
    },
    async remove(path) {
      for (const key of [path, ...below(path)]) store.delete(key);
    },
    async copy(from, to) {
      store.set(to, await this.text(from));
    },
    async move(from, to) {
      for (const key of [from, ...below(from)]) {
        const text = store.get(key);
        if (text === undefined) continue;
        store.set(to + key.slice(from.length), text);
        store.delete(key);
      }
    },
    settle: async () => {},
    out: (line) => void said.push(line),
    err: (line) => void said.push(line),
    progress: () => {},
    tidy: () => {},
  };
}
