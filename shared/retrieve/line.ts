import type { Line } from './rig.ts';

export type LineMaterial = 'fluorocarbon' | 'nylon' | 'braid';

/**
 * What a material's line is like: density, kg/m3, and the diameter, mm, of a given test, lb, growing with the
 * root of the test. Fluorocarbon passes 10 / 12 / 14 lb = .26 / .285 / .31 mm. Nylon and braid: usual printed
 * diameters, which differ by 10 % from maker to maker; give the diameter where it is known.
 */
const MATERIALS: Readonly<Record<LineMaterial, { density: number; test: number; diameter: number }>> = {
  fluorocarbon: { density: 1780, test: 12, diameter: 0.285 },
  nylon: { density: 1140, test: 12, diameter: 0.33 },
  braid: { density: 970, test: 20, diameter: 0.23 },
};

/** What the text of a line looks like; a line that does not exist (0.01 mm, 400 lb) may look right as well. */
export const LINE_PATTERN = /(\d*\.?\d+)\s*(lb|kg|mm|in)?(?:\s+(fluorocarbon|nylon|braid))?/i;

const LINE = new RegExp(`^${LINE_PATTERN.source}$`, 'i');

/** Diameters, mm, that fishing line comes in; outside them it is a slip of the pen. */
const THINNEST = 0.05;
const THICKEST = 1;
const LB_PER_KG = 1 / 0.45359237;

/**
 * Line from text: a test (`12`, `12 lb`, `5.4kg`) or a diameter (`0.285mm`, `.011in`), then the material if it is
 * not fluorocarbon.
 *
 * @returns undefined when the text says no line, or one thinner than 0.05 or thicker than 1 mm.
 */
export function parseLine(text: string): Line | undefined {
  const match = LINE.exec(text.trim());
  if (match === null) return undefined;
  const material = MATERIALS[(match[3]?.toLowerCase() ?? 'fluorocarbon') as LineMaterial];
  const diameter = diameterOf(Number(match[1]), match[2]?.toLowerCase() ?? 'lb', material);
  if (!(diameter >= THINNEST && diameter <= THICKEST)) return undefined;
  return { diameter: diameter / 1000, density: material.density };
}

/** mm. */
function diameterOf(value: number, unit: string, material: { test: number; diameter: number }): number {
  if (unit === 'mm') return value;
  if (unit === 'in') return value * 25.4;
  const pounds = unit === 'kg' ? value * LB_PER_KG : value;
  return material.diameter * Math.sqrt(pounds / material.test);
}
