import { createRequire } from 'node:module';
import { Refusal } from '../../shared/diagnostics/diagnostic.ts';
import * as says from '../../shared/diagnostics/gpx.ts';

/** Gives a text to a second parser, which may answer later. @throws Refusal when it is not accepted. */
export type SecondParser = (text: Uint8Array, file: string) => void;

/** Loaded at the first text: it takes longer to load than a short file to check. */
const require = createRequire(import.meta.url);

/** The second parser, here and now. */
export const parseAgain: SecondParser = (text, file) => {
  const reason = whyRefused(text);
  if (reason !== undefined) throw new Refusal([says.secondParserRefuses(file, reason)]);
};

/** Why the second parser does not accept a text in UTF-8, in one line; undefined when it does. */
export function whyRefused(text: Uint8Array): string | undefined {
  const { DOMParser } = require('@xmldom/xmldom') as typeof import('@xmldom/xmldom');
  let reason: string | undefined;
  const parser = new DOMParser({
    locator: false,
    onError: (level, message) => {
      if (level !== 'warning') reason ??= message;
    },
  });
  try {
    parser.parseFromString(new TextDecoder('utf-8').decode(text), 'text/xml');
  } catch (error) {
    reason ??= error instanceof Error ? error.message : String(error);
  }
  return reason?.split('\n')[0];
}
