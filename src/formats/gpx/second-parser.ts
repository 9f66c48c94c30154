import type { MessagePort } from 'node:worker_threads';
import { DOMParser } from '@xmldom/xmldom';

/**
 * Why the second parser does not accept a text in UTF-8, in one line; undefined when it does.
 *
 * By itself it repairs what it can and says so: whatever is more than a warning counts as a refusal here. It lets
 * through NUL, control characters, a bare `&` and values without quotes, which the first parser refuses.
 */
export function whyRefused(text: Uint8Array): string | undefined {
  let reason: string | undefined;
  const refuse = (message: string): never => {
    reason = message.trim().split('\n')[0];
    throw new Error(reason);
  };
  try {
    const decoded = new TextDecoder('utf-8', { fatal: true }).decode(text);
    new DOMParser({
      locator: false,
      onError: (level, message) => {
        if (level !== 'warning') refuse(String(message));
      },
    }).parseFromString(decoded, 'text/xml');
    return undefined;
  } catch (error) {
    return reason ?? (error as Error).message.split('\n')[0];
  }
}

/** Thread task that answers why a text is not accepted; see `second-look.ts`. */
export function serve(_data: undefined, port: MessagePort): void {
  port.on('message', (text: Uint8Array) => port.postMessage({ reason: whyRefused(text) }));
}
