import { createInterface } from 'node:readline/promises';
import { type Diagnostic, inUnits, Refusal, type Repair } from '../../shared/contract/index.ts';
import { resolveSettings, type Setting } from '../../shared/engine/index.ts';
import type { ResolvedCommand } from './resolve-command.ts';

/**
 * Asks the user for the value of a setting. Without a terminal, nothing is asked.
 *
 * The question is repeated after an invalid answer; an empty answer leaves the log unchanged.
 */
export function createPrompt(
  { inputs, units, io: { note } }: ResolvedCommand,
  settings: ReadonlyMap<string, Setting>,
) {
  const isInteractive = process.stdin.isTTY && process.stderr.isTTY && !inputs.json;
  const terminal = isInteractive
    ? createInterface({ input: process.stdin, output: process.stderr })
    : undefined;
  return {
    async ask(file: string, { message }: Diagnostic, { setting }: Repair): Promise<string | undefined> {
      if (terminal === undefined) return undefined;
      note(`${file}: ${inUnits(message, units)}`);
      for (;;) {
        const text = (await terminal.question(`  ${setting} (Enter to leave it): `)).trim();
        if (text === '') return undefined;
        try {
          resolveSettings(settings, [{ flag: setting, texts: [text], wording: setting }], units, '');
          return text;
        } catch (cause) {
          if (!(cause instanceof Refusal)) throw cause;
          note(`  ${cause.diagnostics[0].message}`);
        }
      }
    },
    close: (): void => terminal?.close(),
  };
}
