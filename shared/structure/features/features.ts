import { CREST_NAMES, type Crest, crestFeatures, findCrests } from './crest.ts';
import {
  EDGE_NAMES,
  type Edge,
  edgeFeatures,
  FAR_BANK_NAMES,
  farBankFeatures,
  findEdge,
  WIDTH_NAMES,
  widthFeatures,
} from './edge.ts';
import { type HeightField, makeHeightField } from './height-field.ts';
import { findRises, PROMINENCE_NAMES, prominenceFeatures, type Rises } from './prominence.ts';
import { markSlope, RING_NAMES, ringFeatures } from './rings.ts';

/** Features of the bottom around a mark, and the forms they were measured on. */
export interface StructureFeatures {
  /** In the order of `FEATURE_NAMES`. */
  readonly values: Float64Array;
  readonly field: HeightField;
  readonly rises: Rises;
  readonly edge: Edge;
  readonly ridge: Crest;
  readonly valley: Crest;
}

export interface GridUncertainty {
  /** Mean distance between passes, m. */
  readonly passSpacing: number;
  /** Mean standard deviations of the depth 24 m and 60 m from the mark, m. */
  readonly sd24: number;
  readonly sd60: number;
}

/**
 * Measures the features of the bottom around a mark.
 *
 * @param depth Lattice of depths, m, positive down (35 x 35 nodes, 6 m apart, mark in the middle).
 */
export function structureFeatures(depth: Float64Array, uncertainty: GridUncertainty): StructureFeatures {
  const field = makeHeightField(depth);
  const rises = findRises(field);
  const [ridge, valley] = findCrests(field);
  const edge = findEdge(field);
  const values = Float64Array.from([
    markSlope(field),
    ...ringFeatures(field),
    ...prominenceFeatures(rises, field),
    ...crestFeatures(ridge),
    ...crestFeatures(valley),
    ...edgeFeatures(edge),
    ...farBankFeatures(field, edge),
    ...widthFeatures(field, edge),
    Math.log(uncertainty.passSpacing / 30),
    Math.log(Math.max(uncertainty.sd24, 1e-3) / 0.15),
    Math.log(Math.max(uncertainty.sd60, 1e-3) / 0.2),
  ]);
  return { values, field, rises, edge, ridge, valley };
}

export const FEATURE_NAMES: readonly string[] = [
  'slope9',
  ...RING_NAMES,
  ...PROMINENCE_NAMES,
  ...CREST_NAMES,
  ...EDGE_NAMES,
  ...FAR_BANK_NAMES,
  ...WIDTH_NAMES,
  'logS',
  'logsd24',
  'logsd60',
];
