import { existsSync } from 'node:fs';
import { type Browser, type BrowserContextOptions, chromium, type Page } from 'playwright-core';

const PLACES = ['/usr/bin/chromium', '/usr/bin/chromium-browser'];

/** Path of a browser on this machine: the one in BROWSER_PROGRAM, or Debian's chromium. */
export const browserProgram: string | undefined = [process.env.BROWSER_PROGRAM ?? '', ...PLACES].find(
  (path) => path !== '' && existsSync(path),
);

/**
 * Features of the browser to disable. The windows for address suggestions started with every new context and
 * took more time than most pages. The other features are Playwright's own list, because this list replaces
 * it.
 */
const LEFT_OUT = [
  'WebUIOmniboxPopup',
  'WebUIOmniboxAimPopup',
  'AimEnabled',
  'AvoidUnnecessaryBeforeUnloadCheckSync',
  'DestroyProfileOnBrowserClose',
  'HttpsFirstBalancedModeAutoEnable',
  'HttpsUpgrades',
  'LensOverlay',
  'MediaRouter',
  'NetworkTimeServiceQuerying',
  'OptimizationHints',
  'PaintHolding',
  'PreconnectToSearch',
  'ThirdPartyStoragePartitioning',
];

/** Title of the test that runs instead when there is no browser. */
export const NO_BROWSER = `no browser at ${PLACES.join(' or ')} nor in BROWSER_PROGRAM: install the package chromium to run these tests`;

export const startBrowser = (): Promise<Browser> =>
  chromium.launch({
    executablePath: browserProgram,
    args: [
      '--headless',
      '--no-sandbox',
      '--disable-gpu',
      '--disable-quic',
      '--no-first-run',
      '--disable-background-networking',
      '--disable-component-update',
      '--disable-sync',
      `--disable-features=${LEFT_OUT.join()}`,
    ],
  });

/** A page with its console messages, errors and dialogs (`said`) and the addresses it requested (`asked`). */
export interface WatchedPage {
  readonly page: Page;
  readonly said: string[];
  readonly asked: string[];
}

/** Opens an address in a new browser context and records every console message, error, dialog and request. */
export async function openPage(
  browser: Browser,
  url: string,
  options: BrowserContextOptions = {},
): Promise<WatchedPage> {
  const context = await browser.newContext(options);
  const page = await context.newPage();
  const said: string[] = [];
  const asked: string[] = [];
  page.on('console', (message) => said.push(message.text()));
  page.on('pageerror', (error) => said.push(String(error)));
  page.on('dialog', (dialog) => {
    said.push(`dialog ${dialog.message()}`);
    void dialog.dismiss();
  });
  page.on('request', (request) => asked.push(request.url()));
  await page.goto(url);
  return { page, said, asked };
}
