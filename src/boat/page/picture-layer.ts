import { element } from './dom.ts';
import type { Drawing, Size } from './draw-ground.ts';

/**
 * A picture in the page, drawn off screen and shown as a bitmap. The browser may copy the pixels of an ordinary canvas for
 * every frame in which it moves.
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

  /** Begins an empty picture. @param size CSS pixels. @param ratio Screen pixels per CSS pixel. */
  begin([wide, high]: Size, ratio: number): Drawing {
    this.sheet.width = Math.round(wide * ratio);
    this.sheet.height = Math.round(high * ratio);
    this.canvas.setTransform(ratio, 0, 0, ratio, 0, 0);
    return this.canvas;
  }

  /** Executes the drawing so far, which the browser would otherwise defer to the end. */
  catchUp(): void {
    this.canvas.getImageData(0, 0, 1, 1);
  }

  /** Shows the picture. @param size As for `begin`. */
  present([wide, high]: Size): void {
    this.shown.style.width = `${wide}px`;
    this.shown.style.height = `${high}px`;
    this.bitmap.transferFromImageBitmap(this.sheet.transferToImageBitmap());
  }
}
