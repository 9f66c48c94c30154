import { DOMParser } from '@xmldom/xmldom';
import { Refusal } from '../../../shared/contract/index.ts';
import { gpxOutputMessages as says } from '../../../shared/text/index.ts';

/**
 * Parses a text with a second, independent parser.
 *
 * @throws Refusal for a text that the parser does not accept.
 */
export function parseAgain(text: Uint8Array, file: string): void {
  const reason = refusalReason(text);
  if (reason !== undefined) throw new Refusal([says['second-parser']({ file }, reason)]);
}

/**
 * Returns why the second parser refuses a UTF-8 text, on one line; undefined when it accepts the text.
 *
 * On its own the parser repairs what it can and reports each repair; here, any report above a warning is a
 * refusal. The parser still accepts NUL and other control characters, an `&` before white space, and
 * unquoted values, which the first parser refuses.
 */
export function refusalReason(text: Uint8Array): string | undefined {
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
