import type { Diagnostic } from '../../shared/contract/index.ts';
import { type Ledger, openLedger } from '../run/index.ts';
import type { ResolvedCommand } from './resolve-command.ts';

/**
 * The ledger of a run's lake, beside its first log or else its first waypoint file; an empty ledger without a store.
 */
export function ledgerOf(
  resolved: ResolvedCommand,
  waypointFiles: readonly string[],
  logs: readonly string[],
  report: (diagnostic: Diagnostic) => void,
): Ledger {
  const beside = [...logs, ...waypointFiles].find((file) => file !== '-');
  if (!resolved.inputs.store || beside === undefined) return { given: [], add: async () => {} };
  return openLedger(beside, report);
}
