#!/usr/bin/env node
import { formatDiagnostic, jsonDiagnostic, Refusal, stackOf } from '../shared/contract/index.ts';
import { HELP_CAUTIONS } from './cli/index.ts';
import { VERSION } from './version.ts';

interface CommandModule {
  /** @returns Exit status as listed in `HELP`; 128 + n when signal n ended the command. @throws Refusal. */
  run(argv: readonly string[]): Promise<number>;
}

interface CommandEntry {
  readonly summary: string;
  readonly load: () => Promise<CommandModule>;
}

const COMMANDS: Readonly<Record<string, CommandEntry>> = {
  enrich: {
    summary: 'turn waypoints and sonar logs into an enriched GPX, table and page (the main job)',
    load: () => import('./cli/enrich.ts'),
  },
  plan: {
    summary: 'plan the day on an enriched lake: which spots, in what order, when to rest them',
    load: () => import('./cli/plan.ts'),
  },
  review: {
    summary: 'review a logged day: fish by structure, depth, hour and lure, compared with what was expected',
    load: () => import('./cli/review.ts'),
  },
  check: {
    summary: 'show what was read, what was dropped and why, and how well each waypoint is covered',
    load: () => import('./cli/check.ts'),
  },
  view: {
    summary: 'give an address for your browser with the report page, which follows changes of the inputs',
    load: () => import('./cli/view.ts'),
  },
  lake: {
    summary: 'map the whole sounded lake: contours, lips, ridges, humps and holes as layers',
    load: () => import('./cli/lake.ts'),
  },
  prospect: {
    summary: 'propose unmarked places that look like the marks with fish, each with its casts',
    load: () => import('./cli/prospect.ts'),
  },
  undo: {
    summary: 'remove from a GPX file all that enrich added',
    load: () => import('./cli/undo.ts'),
  },
  unit: {
    summary: 'learn from an export how your unit changes waypoints, so that enrich writes for it',
    load: () => import('./cli/unit.ts'),
  },
  batch: {
    summary: 'run many lakes, each separately; a failure does not stop the others',
    load: () => import('./cli/batch.ts'),
  },
  trust: {
    summary: 'let a lake folder or a --config file run its own plugins and use files elsewhere',
    load: () => import('./cli/trust.ts'),
  },
  demo: {
    summary: 'make an invented lake with three days of practice, and run the whole job on it',
    load: () => import('./cli/demo.ts'),
  },
  schema: {
    summary: 'print the columns of the table, or the JSON Schema of configuration or messages',
    load: () => import('./cli/schema.ts'),
  },
  completion: {
    summary: 'print a script that completes commands and options in bash, zsh or fish',
    load: () => import('./cli/completion.ts'),
  },
  plugins: {
    summary: 'list plugins, or the fields and options of one',
    load: () => import('./cli/plugins.ts'),
  },
};

/** Exit status for a defect of this program (sysexits EX_SOFTWARE). */
const DEFECT = 70;

const HELP = `Usage: downslope <command> [options]

Turns waypoints and sonar logs into a plan for tomorrow's fishing.

Commands:
${Object.entries(COMMANDS)
  .map(([name, { summary }]) => `  ${name.padEnd(11)}${summary}`)
  .join('\n')}

downslope <command> --help lists the options of a command; --version prints the version.

Exit status: 0 done; 1 an input, a log or a waypoint was refused; 2 the command line or configuration is wrong, nothing
was read; 70 a bug in downslope.

Example: downslope enrich marks.gpx --soundings logs/ --table plan.csv --report plan.html

${HELP_CAUTIONS}
`;

async function main(argv: readonly string[]): Promise<number> {
  const [name, ...rest] = argv;
  if (name === undefined) {
    process.stderr.write(HELP);
    return 2;
  }
  if (name === '--help' || name === '-h' || name === 'help') {
    process.stdout.write(HELP);
    return 0;
  }
  if (name === '--version' || name === '-V') {
    process.stdout.write(`${VERSION}\n`);
    return 0;
  }
  if (!Object.hasOwn(COMMANDS, name)) {
    const { commandMessages: says } = await import('../shared/text/messages/command.ts');
    const { nearNames } = await import('../shared/text/near-names.ts');
    throw new Refusal([says.unknown(undefined, name, nearNames(name, Object.keys(COMMANDS)))], 2);
  }
  return (await COMMANDS[name].load()).run(rest);
}

function explain(cause: unknown, asJson: boolean): number {
  if (cause instanceof Refusal) {
    for (const diagnostic of cause.diagnostics) {
      const text = `${formatDiagnostic(diagnostic)}${argv.includes('--debug') ? stackOf(diagnostic) : ''}`;
      process.stderr.write(`${asJson ? jsonDiagnostic(diagnostic) : text}\n`);
    }
    return cause.status;
  }
  if (cause instanceof Error && cause.name === 'HelpShown') return 0;
  const stack = cause instanceof Error ? cause.stack : String(cause);
  process.stderr.write(
    `This is a bug in downslope, not a fault of your files. No file was left half written.\n${stack}\n`,
  );
  return DEFECT;
}

/** First error in writing standard output, except EPIPE: a reader may close the output early. */
let failure: NodeJS.ErrnoException | undefined;
let isOver = false;

async function endWith(status: number): Promise<void> {
  isOver = true;
  process.exitCode = status;
  if (failure === undefined || status !== 0) return;
  const { fileMessages: says } = await import('../shared/text/messages/files.ts');
  const place = { file: 'standard output' };
  const said = says['write standard-output'](
    place,
    failure.code ?? failure.message,
    'Write to another place.',
  );
  process.exitCode = explain(new Refusal([said]), argv.includes('--json'));
}

process.stdout.on('error', (cause: NodeJS.ErrnoException) => {
  if (cause.code === 'EPIPE') return;
  failure ??= cause;
  if (isOver) void endWith(Number(process.exitCode ?? 0));
});
// Failing to print messages must not keep the output files from being written.
process.stderr.on('error', () => {});

const argv = process.argv.slice(2);
try {
  await endWith(await main(argv));
} catch (cause) {
  await endWith(explain(cause, argv.includes('--json')));
}
