import { mkdir, mkdtemp, rename, rm, writeFile } from 'node:fs/promises';
import { request } from 'node:http';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { startViewServer } from '../../src/page/view-server.ts';

let folder = '';
let server: Awaited<ReturnType<typeof startViewServer>> | undefined;

beforeEach(async () => {
  folder = await mkdtemp(join(tmpdir(), 'downslope-view-'));
});

afterEach(async () => {
  await server?.close();
  server = undefined;
  await rm(folder, { recursive: true, force: true });
});

/** Sends a request with the given Host header, or without one. */
function ask(
  url: string,
  host: string | undefined,
  method = 'GET',
): Promise<{ status: number; body: string }> {
  return new Promise((resolve, reject) => {
    const asked = request(
      url,
      { method, setHost: false, headers: host === undefined ? {} : { Host: host } },
      (response) => {
        let body = '';
        response.on('data', (chunk) => {
          body += String(chunk);
        });
        response.on('end', () => resolve({ status: response.statusCode ?? 0, body }));
      },
    );
    asked.on('error', reject);
    asked.end();
  });
}

async function until(isDone: () => Promise<boolean> | boolean): Promise<void> {
  for (let i = 0; i < 100; i += 1) {
    if (await isDone()) return;
    await new Promise((resolve) => setTimeout(resolve, 50));
  }
  throw new Error('still not so after 5 s');
}

describe('view server', () => {
  test('listens only on this machine and serves the page', async () => {
    server = await startViewServer({ makePage: async () => '<p>page</p>', watch: [] });
    expect(server.url).toMatch(/^http:\/\/127\.0\.0\.1:\d+\/$/);
    const response = await fetch(server.url);
    expect(response.status).toBe(200);
    expect(response.headers.get('content-type')).toBe('text/html; charset=utf-8');
    expect(response.headers.get('cache-control')).toBe('no-store');
    expect(await response.text()).toBe('<p>page</p>');
  });

  test('accepts its own host names and refuses all others', async () => {
    server = await startViewServer({ makePage: async () => 'page', watch: [] });
    const { port } = new URL(server.url);
    for (const name of ['127.0.0.1', 'localhost', '[::1]']) {
      expect((await ask(server.url, `${name}:${port}`)).status).toBe(200);
    }
    for (const host of [
      'elsewhere.example',
      `elsewhere.example:${port}`,
      `127.0.0.1:${Number(port) + 1}`,
      `10.0.0.7:${port}`,
      '',
    ]) {
      const { status, body } = await ask(server.url, host);
      expect([host, status]).toEqual([host, 403]);
      expect(body).not.toContain('page\n');
    }
  });

  test('accepts any IP address as host if it listens on all addresses, but still no foreign name', async () => {
    server = await startViewServer({ makePage: async () => 'page', watch: [], host: '0.0.0.0' });
    const { port } = new URL(server.url);
    const here = `http://127.0.0.1:${port}/`;
    expect((await ask(here, `192.168.4.20:${port}`)).status).toBe(200);
    expect((await ask(here, `elsewhere.example:${port}`)).status).toBe(403);
  });

  test('has one page and accepts only GET and HEAD', async () => {
    server = await startViewServer({ makePage: async () => 'page', watch: [] });
    expect((await fetch(`${server.url}?again`)).status).toBe(200);
    expect((await fetch(`${server.url}../etc/passwd`)).status).toBe(404);
    expect((await fetch(server.url, { method: 'POST', body: 'x' })).status).toBe(405);
    const head = await fetch(server.url, { method: 'HEAD' });
    expect([head.status, await head.text()]).toEqual([200, '']);
  });

  test('makes the page once for many readers, and again when an input changes', async () => {
    const input = join(folder, 'marks.gpx');
    await writeFile(input, 'one');
    let made = 0;
    let remade = 0;
    server = await startViewServer({
      makePage: async () => `page ${++made}`,
      watch: [input],
      onRemade: () => {
        remade += 1;
      },
    });
    for (let i = 0; i < 3; i += 1) expect(await (await fetch(server.url)).text()).toBe('page 1');
    await writeFile(input, 'two');
    await until(() => remade === 1);
    expect(await (await fetch(server.url)).text()).toBe('page 2');
    await writeFile(join(folder, 'new'), 'three');
    await rename(join(folder, 'new'), input);
    await until(() => remade === 2);
    expect(await (await fetch(server.url)).text()).toBe('page 3');
  });

  test('a file added to a watched folder makes the page again', async () => {
    let made = 0;
    server = await startViewServer({ makePage: async () => `page ${++made}`, watch: [folder] });
    const { url } = server;
    await writeFile(join(folder, 'new.csv'), 'lat,lon,depth');
    await until(async () => (await (await fetch(url)).text()) === 'page 2');
  });

  test('files in a hidden folder next to the inputs do not remake the page', async () => {
    let made = 0;
    server = await startViewServer({ makePage: async () => `page ${++made}`, watch: [folder] });
    await mkdir(join(folder, '.kept'));
    await writeFile(join(folder, '.kept', 'log.arrow'), 'x');
    await new Promise((resolve) => setTimeout(resolve, 600));
    expect(made).toBe(1);
  });

  test('shows the message instead of the page while the input is broken, and recovers', async () => {
    const input = join(folder, 'marks.gpx');
    await writeFile(input, 'good');
    let broken = false;
    server = await startViewServer({
      makePage: async () => {
        if (broken) throw new Error('marks.gpx:3: <bad>');
        return 'page';
      },
      watch: [input],
    });
    const { url } = server;
    broken = true;
    await writeFile(input, 'bad');
    await until(async () => (await fetch(url)).status === 500);
    expect(await (await fetch(url)).text()).toContain('marks.gpx:3: &lt;bad&gt;');
    broken = false;
    await writeFile(input, 'good again');
    await until(async () => (await fetch(url)).status === 200);
  });

  test('does not start if the first page cannot be made', async () => {
    const start = startViewServer({
      makePage: async () => Promise.reject(new Error('no such file')),
      watch: [],
    });
    await expect(start).rejects.toThrow('no such file');
  });

  test('does not start if its port is taken', async () => {
    server = await startViewServer({ makePage: async () => 'page', watch: [] });
    const port = Number(new URL(server.url).port);
    await expect(startViewServer({ makePage: async () => 'page', watch: [], port })).rejects.toThrow(
      /another program uses it/,
    );
  });
});
