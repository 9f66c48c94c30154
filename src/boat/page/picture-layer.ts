import { element } from './dom.ts';
import type { Drawing, Size } from './draw-ground.ts';

/**
 * A picture in the page. It is drawn elsewhere and shown as a bitmap: the pixels of a canvas that can be drawn on are
 * copied again for every frame while it moves.
 */
export class PictureLayer {
  readonly shown: HTMLCanvasElement;
  private readonly bitmap: ImageBitmapRenderingContext;
  private readonly sheet = new OffscreenCanvas(1, 1);
  private readonly canvas = this.sheet.getContext('2d', { willReadFrequently: true })!;

  constructor(attributes: Readonly<Record<string, string>> = {}) {
    this.shown = element('canvas', attributes);
    this.bitmap = this.shown.getContext('bitmaprenderer')!;
  }

  /** Begins an empty picture. @param size px of the page. @param ratio px of the screen in one of the page. */
  begin([wide, high]: Size, ratio: number): Drawing {
    this.sheet.width = Math.round(wide * ratio);
    this.sheet.height = Math.round(high * ratio);
    this.canvas.setTransform(ratio, 0, 0, ratio, 0, 0);
    return this.canvas;
  }

  /** Draws what was asked for so far, which a browser otherwise puts off to the end. */
  catchUp(): void {
    this.canvas.getImageData(0, 0, 1, 1);
  }

  /** Shows the picture that was drawn. */
  present([wide, high]: Size): void {
    this.shown.style.width = `${wide}px`;
    this.shown.style.height = `${high}px`;
    this.bitmap.transferFromImageBitmap(this.sheet.transferToImageBitmap());
  }
}
