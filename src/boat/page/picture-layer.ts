import type { ZoomTransform } from 'd3-zoom';
import { element } from './dom.ts';
import { MapSheet, type Size } from './map-sheet.ts';

/** Pixels of a picture per CSS pixel, at most 2. */
const RATIO = Math.min(2, devicePixelRatio || 1);

/**
 * A picture in the page, drawn off screen and shown as a bitmap, because a browser may copy the pixels of an
 * ordinary canvas for every frame while the canvas moves.
 */
export class PictureLayer {
  readonly shown: HTMLCanvasElement;
  private readonly bitmap: ImageBitmapRenderingContext;
  private readonly picture = new OffscreenCanvas(1, 1);
  private readonly canvas = this.picture.getContext('2d', { willReadFrequently: true })!;
  private size: Size = [0, 0];

  constructor(attributes: Readonly<Record<string, string>> = {}) {
    this.shown = element('canvas', attributes);
    this.bitmap = this.shown.getContext('bitmaprenderer')!;
  }

  /** Begins an empty picture. @param size CSS pixels. */
  begin(size: Size, view: ZoomTransform): MapSheet {
    this.size = size;
    this.picture.width = Math.round(size[0] * RATIO);
    this.picture.height = Math.round(size[1] * RATIO);
    return new MapSheet(this.canvas, size, view, RATIO);
  }

  /** Makes the browser execute the drawing so far, which the browser would otherwise defer to the end. */
  catchUp(): void {
    this.canvas.getImageData(0, 0, 1, 1);
  }

  present(): void {
    const [wide, high] = this.size;
    Object.assign(this.shown.style, { width: `${wide}px`, height: `${high}px` });
    this.bitmap.transferFromImageBitmap(this.picture.transferToImageBitmap());
  }
}
