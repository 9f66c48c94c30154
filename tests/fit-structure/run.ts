import { writeFileSync } from 'node:fs';
import { calibrate } from './calibrate.ts';
import { fitWords } from './fit-words.ts';

/**
 * `npm run fit-structure` fits the table of structure words; `npm run fit-structure calibration` prints the
 * numbers of `shared/bottom/calibration.ts` instead.
 */
if (process.argv[2] === 'calibration') calibrate(Number(process.argv[3] ?? 200));
else writeFileSync('shared/structure/structure-table.ts', fitWords());
