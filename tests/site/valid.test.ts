import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { HtmlValidate } from 'html-validate';
import { expect, inject, test } from 'vitest';
import { onePerRoute, pagesOf } from './siteFolder.ts';

// The HTML Living Standard, as html-validate knows its content models and attributes; rules of taste are left out.
const validator = new HtmlValidate({
  extends: ['html-validate:standard'],
  rules: {
    'long-title': 'off',
    'no-inline-style': 'off',
    'no-implicit-button-type': 'off',
    'no-trailing-whitespace': 'off',
    // Landmarks are looked at by axe-core, in a browser.
    'unique-landmark': 'off',
    'void-style': 'off',
  },
});
const site = inject('site');
const pages = pagesOf(site);

test.each(process.env['GAPBOOK_FULL'] === '1' ? pages : onePerRoute(site, pages))('%s is valid HTML', async (page) => {
  const { results } = await validator.validateString(readFileSync(join(site, page), 'utf8'), page);
  expect(
    results.flatMap(({ messages }) => messages.map(({ line, ruleId, message }) => `${line} ${ruleId}: ${message}`)),
  ).toEqual([]);
});
