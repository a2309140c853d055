import { existsSync } from 'node:fs';
import { delimiter, join } from 'node:path';

const NAMES = ['chromium', 'chromium-browser', 'google-chrome', 'google-chrome-stable', 'microsoft-edge'];
const PLACES = [
  '/Applications/Google Chrome.app/Contents/MacOS/Google Chrome',
  '/Applications/Chromium.app/Contents/MacOS/Chromium',
];

/**
 * A Chromium to print with: on Linux the one that comes with the packages, so that the same page gives the same bytes,
 * else an installed one.
 *
 * @throws where there is none, with what to do
 */
export async function browserPath(): Promise<string> {
  if (process.platform === 'linux' && process.arch === 'x64') {
    const { default: packaged } = await import('@sparticuz/chromium');
    return packaged.executablePath();
  }
  const folders = (process.env['PATH'] ?? '').split(delimiter);
  const found = [...folders.flatMap((folder) => NAMES.map((name) => join(folder, name))), ...PLACES].find((path) =>
    existsSync(path),
  );
  if (found) return found;
  throw new Error('no Chromium found to print with; install one, or name it: `gapbook print PAGE --browser PATH`');
}
