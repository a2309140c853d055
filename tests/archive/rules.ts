import { spawnSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { readdirSync, readFileSync, statSync } from 'node:fs';
import { join } from 'node:path';

/**
 * What RFC 8493 asks of a bag of version 1.0, looked at by other means than the code under test: section 2.1 and 3, with
 * whole files in memory, and the checksum programs of the system where it has them. Returns what is wrong.
 */
export function brokenRules(bag: string): string[] {
  const wrong: string[] = [];
  const text = (name: string): string => readFileSync(join(bag, name), 'utf8');
  const every = readdirSync(bag, { recursive: true, encoding: 'utf8' }).filter((p) => statSync(join(bag, p)).isFile());
  if (text('bagit.txt') !== 'BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n') wrong.push('bagit.txt');
  const manifests = every.filter((p) => /^(tag)?manifest-\w+\.txt$/.test(p));
  if (!manifests.some((p) => p.startsWith('manifest-'))) wrong.push('no manifest');
  for (const name of manifests) {
    const algorithm = /-(\w+)\.txt$/.exec(name)![1]!;
    const listed = new Map<string, string>();
    for (const line of text(name).split('\n').slice(0, -1)) {
      const at = line.indexOf('  ');
      const path = decodeURIComponent(line.slice(at + 2).replace(/%(?!0A|0D|25)/g, '%25'));
      if (listed.has(path)) wrong.push(`${name} twice ${path}`);
      listed.set(path, line.slice(0, at));
    }
    const meant = every.filter((p) =>
      name.startsWith('tag') ? !p.startsWith('data/') && !p.startsWith('tagmanifest-') : p.startsWith('data/'),
    );
    if ([...listed.keys()].sort().join('\n') !== meant.sort().join('\n')) wrong.push(`${name} lists other files`);
    for (const [path, hash] of listed)
      if (
        every.includes(path) &&
        createHash(algorithm)
          .update(readFileSync(join(bag, path)))
          .digest('hex') !== hash
      )
        wrong.push(`${name} ${path}`);
    const system = spawnSync(`${algorithm}sum`, ['--check', '--strict', '--quiet', name], {
      cwd: bag,
      encoding: 'utf8',
    });
    const plain = !every.some((p) => /[\n\r%\\]/.test(p));
    if (plain && !system.error && system.status !== 0) wrong.push(`${algorithm}sum: ${system.stdout}${system.stderr}`);
  }
  // bag-info.txt may be left out (2.2.2); what the manifests list decides.
  if (!every.includes('bag-info.txt')) return wrong;
  const oxum = /^Payload-Oxum: (\d+)\.(\d+)$/m.exec(text('bag-info.txt'));
  const payload = every.filter((p) => p.startsWith('data/'));
  const bytes = payload.reduce((sum, p) => sum + statSync(join(bag, p)).size, 0);
  if (Number(oxum?.[1]) !== bytes || Number(oxum?.[2]) !== payload.length) wrong.push('Payload-Oxum');
  return wrong;
}
