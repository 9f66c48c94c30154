import type { Line } from './rig.ts';

type LineMaterial = 'fluorocarbon' | 'nylon' | 'braid';

/**
 * Density of each line material, kg/m3, and the test, lb, and diameter, mm, of one such line. The diameter
 * grows with the square root of the test. Fluorocarbon matches printed diameters of 10, 12 and 14 lb line.
 * Printed diameters of nylon and braid differ by 10 % between makers.
 */
const MATERIALS: Readonly<Record<LineMaterial, { density: number; test: number; diameter: number }>> = {
  fluorocarbon: { density: 1780, test: 12, diameter: 0.285 },
  nylon: { density: 1140, test: 12, diameter: 0.33 },
  braid: { density: 970, test: 20, diameter: 0.23 },
};

/** Form of a line's text. Lines that do not exist (0.01 mm, 400 lb) match too; `parseLine` refuses them. */
export const LINE_PATTERN = /(\d*\.?\d+)\s*(lb|kg|mm|in)?(?:\s+(fluorocarbon|nylon|braid))?/i;

const LINE = new RegExp(`^${LINE_PATTERN.source}$`, 'i');

/** Limits of the diameter of fishing line, mm; any other diameter is taken for a typing error. */
const [THINNEST, THICKEST] = [0.05, 1];
const LB_PER_KG = 1 / 0.45359237;

/**
 * Reads a line from text: a test (`12`, `12 lb`, `5.4kg`) or a diameter (`0.285mm`, `.011in`), then the
 * material if it is not fluorocarbon.
 *
 * @returns undefined when the text is not a line, or the line is thinner than 0.05 mm or thicker than 1 mm.
 */
export function parseLine(text: string): Line | undefined {
  const match = LINE.exec(text.trim());
  if (match === null) return undefined;
  const material = MATERIALS[(match[3]?.toLowerCase() ?? 'fluorocarbon') as LineMaterial];
  const diameter = diameterOf(Number(match[1]), match[2]?.toLowerCase() ?? 'lb', material);
  if (!(diameter >= THINNEST && diameter <= THICKEST)) return undefined;
  return { diameter: diameter / 1000, density: material.density };
}

/** Returns the diameter of a line, mm. */
function diameterOf(value: number, unit: string, material: { test: number; diameter: number }): number {
  if (unit === 'mm') return value;
  if (unit === 'in') return value * 25.4;
  const pounds = unit === 'kg' ? value * LB_PER_KG : value;
  return material.diameter * Math.sqrt(pounds / material.test);
}
