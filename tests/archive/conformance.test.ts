import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, test } from 'vitest';
import { verifyBytes } from '../../src/archive/verifyBytes.ts';
import { machine } from '../../src/effects.ts';
import { brokenRules } from './rules.ts';

const folder = fileURLToPath(new URL('../../../shared/reference/g-formats/', import.meta.url));
const list = join(folder, 'bags.json');

interface Case {
  readonly id: string;
  readonly in: { readonly folder: string };
  readonly out: { readonly expected: 'valid' | 'invalid' | 'warning'; readonly bagit_version: string };
}

// Source: the conformance suite of the Library of Congress, 17 of its bags with the class that each has there.
describe('the conformance suite of bags', () => {
  if (!existsSync(list)) {
    test.skip('../shared/reference/g-formats/bags.json is not there', () => {});
    return;
  }
  const { cases } = JSON.parse(readFileSync(list, 'utf8')) as { cases: Case[] };
  for (const { id, in: given, out } of cases)
    test(`${id} is ${out.expected}`, async () => {
      const { findings, bag } = await verifyBytes(join(folder, given.folder), machine());
      const grave = findings.filter(({ severity }) => severity === 'error');
      const verdict = grave.length > 0 ? 'invalid' : findings.length > 0 ? 'warning' : 'valid';
      expect(verdict, JSON.stringify(findings, null, 1)).toBe(out.expected);
      if (verdict !== 'invalid') expect(bag.version).toBe(out.bagit_version);
    });
  // The rules that our own bags are held against, by code that is not the product's, have to tell these apart as well.
  test('is told apart by the rules of the tests, too', () => {
    for (const { in: given, out } of cases.filter((c) => c.out.bagit_version === '1.0'))
      expect(brokenRules(join(folder, given.folder)).length > 0, given.folder).toBe(out.expected === 'invalid');
  });
});
