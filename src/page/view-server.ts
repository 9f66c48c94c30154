import { once } from 'node:events';
import { type FSWatcher, watch } from 'node:fs';
import { createServer, type IncomingMessage, type ServerResponse } from 'node:http';
import { type AddressInfo, isIP } from 'node:net';
import { basename, dirname } from 'node:path';
import { Refusal } from '../../shared/contract/index.ts';
import { commandMessages as says } from '../../shared/text/index.ts';
import { escapeText } from './svg.ts';

export interface ViewOptions {
  /** Returns the HTML of the page, made anew. */
  readonly makePage: () => Promise<string>;
  /** Files and folders whose changes make the page out of date. */
  readonly watch: readonly string[];
  /** Port to listen on; any free port when 0 or absent. */
  readonly port?: number;
  /** Address to listen on; by default only this machine can connect. */
  readonly host?: string;
  /** Called after each remake of the page, with the error if the remake failed. */
  readonly onRemade?: (problem: Error | undefined) => void;
}

const THIS_MACHINE = '127.0.0.1';

/** Time without a change before the page is made again, ms; programs save a file in several steps. */
const SETTLE = 250;

/**
 * Serves the report to a browser, by default on this machine only, and makes it again when its inputs change.
 *
 * The promise is rejected when the first page cannot be made or the address is not available. After a later
 * failure, the server shows the error message until the inputs are corrected. Only GET and HEAD of `/` get
 * the page. A request whose `Host` header is not this server's address gets 403, so that other sites cannot
 * read the page through a name of their own that they point at this machine (DNS rebinding).
 *
 * @returns The address, by default `http://127.0.0.1:PORT/`, and a function that ends the server.
 */
export async function startViewServer(options: ViewOptions) {
  const { host = THIS_MACHINE, port = 0 } = options;
  const page = watchedPage(options);
  await page.current().catch((cause: unknown) => {
    // The page's watchers would keep the process alive.
    page.close();
    throw cause;
  });
  const server = createServer((request, response) => {
    answer(request, response, host, page).catch((cause) => response.destroy(asError(cause)));
  });
  await once(server.listen(port, host), 'listening').catch((error: NodeJS.ErrnoException) => {
    page.close();
    const isTaken = error.code === 'EADDRINUSE';
    throw new Refusal([
      isTaken || error.code === 'EACCES'
        ? says['address port'](undefined, port, isTaken)
        : says.address(undefined, host, error.code ?? error.message),
    ]);
  });
  return {
    url: `http://${isIP(host) === 6 ? `[${host}]` : host}:${(server.address() as AddressInfo).port}/`,
    close(): Promise<void> {
      page.close();
      server.closeAllConnections();
      return new Promise((resolve) => server.close(() => resolve()));
    },
  };
}

const asError = (cause: unknown): Error => (cause instanceof Error ? cause : new Error(String(cause)));

/** Keeps the page in memory, and makes the page again when an input changes. */
function watchedPage({ makePage, watch: paths, onRemade }: ViewOptions) {
  let made: Promise<string> | undefined;
  let timer: NodeJS.Timeout | undefined;
  const remake = (): void => {
    made = makePage();
    made.then(
      () => onRemade?.(undefined),
      (cause) => onRemade?.(asError(cause)),
    );
  };
  const onChange = (): void => {
    clearTimeout(timer);
    timer = setTimeout(remake, SETTLE);
  };
  // The parent folder is watched too: a watcher of the file itself loses a file that a rename replaces.
  const watchers = [...new Set(paths)].flatMap((path) => [
    ...watchFolder(dirname(path), false, (changed) => changed === basename(path), onChange),
    ...watchFolder(path, true, (changed) => !isHidden(changed), onChange),
  ]);
  return {
    current(): Promise<string> {
      made ??= makePage();
      return made;
    },
    close(): void {
      clearTimeout(timer);
      for (const watcher of watchers) watcher.close();
    },
  };
}

/** Tells whether a path leads through a hidden file or folder, such as `.downslope`; these are not inputs. */
const isHidden = (path: string): boolean => path.split(/[\\/]/).some((name) => name.startsWith('.'));

/** Watches a file or folder for changes to inputs. Returns no watcher when the system refuses. */
function watchFolder(
  folder: string,
  recursive: boolean,
  isInput: (changed: string) => boolean,
  onChange: () => void,
): FSWatcher[] {
  try {
    const watcher = watch(folder, { recursive }, (_, changed) => {
      if (changed === null || isInput(changed)) onChange();
    });
    watcher.on('error', () => watcher.close());
    return [watcher];
  } catch {
    return [];
  }
}

async function answer(
  request: IncomingMessage,
  response: ServerResponse,
  host: string,
  page: ReturnType<typeof watchedPage>,
): Promise<void> {
  if (!isOurHost(request.headers.host, host, request.socket.localPort)) {
    const why = 'This address is not served. Open the address that downslope printed.\n';
    return send(response, 403, 'text/plain', why);
  }
  if (request.method !== 'GET' && request.method !== 'HEAD') {
    response.setHeader('Allow', 'GET, HEAD');
    return send(response, 405, 'text/plain', 'Only GET and HEAD are answered here.\n');
  }
  const path = (request.url ?? '/').replace(/[?#].*$/, '');
  if (path !== '/') return send(response, 404, 'text/plain', 'There is only one page here: /\n');
  const [status, text] = await page.current().then(
    (html) => [200, html] as const,
    (cause) => [500, problemPage(asError(cause).message)] as const,
  );
  send(response, status, 'text/html', request.method === 'HEAD' ? '' : text);
}

function send(response: ServerResponse, status: number, type: string, text: string): void {
  response.writeHead(status, {
    'Content-Type': `${type}; charset=utf-8`,
    'Cache-Control': 'no-store',
    'X-Content-Type-Options': 'nosniff',
    'X-Frame-Options': 'DENY',
    'Referrer-Policy': 'no-referrer',
    'Cross-Origin-Resource-Policy': 'same-origin',
  });
  response.end(text);
}

/** Tells whether the `Host` header names this machine or the address `host`, with the server's port. */
function isOurHost(header: string | undefined, host: string, port: number | undefined): boolean {
  const match = /^(\[[0-9a-f:.]+\]|[^:]+)(?::(\d+))?$/i.exec(header ?? '');
  if (match === null || Number(match[2] ?? 80) !== port) return false;
  const name = match[1].toLowerCase().replace(/^\[|\]$/g, '');
  if (name === host.toLowerCase() || ['localhost', '127.0.0.1', '::1'].includes(name)) return true;
  // A server that listens on every address also accepts any IP address, but no other host name.
  return (host === '0.0.0.0' || host === '::') && isIP(name) !== 0;
}

const problemPage = (message: string): string =>
  `<!doctype html><html lang="en"><meta charset="utf-8"><title>Not made</title><meta name="viewport" content="width=device-width"><link rel="icon" href="data:,"><h1>The report could not be made</h1><pre>${escapeText(message)}</pre><p>Correct the input. The page is then made again; reload it.</p></html>`;
