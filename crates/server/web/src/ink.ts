// Ink over the body: lines and figures that are set out on the paper, drawn anew with every picture.

import type { Vector3 } from 'three';
import type { BodyView } from './body-view';
import { svg } from './dom';

/** Makes what a layer shows, from places of the body as they are seen at this moment. */
export type Layer = (view: BodyView) => SVGElement[];

export class Ink {
  private readonly layers = new Map<string, Layer>();

  constructor(
    private readonly host: SVGSVGElement,
    private readonly view: BodyView,
  ) {}

  /** Sets a layer, or takes it away. */
  set(name: string, layer: Layer | null): void {
    if (layer) this.layers.set(name, layer);
    else if (!this.layers.delete(name)) return;
    this.draw();
  }

  draw(): void {
    if (this.layers.size === 0 && this.host.childElementCount === 0) return;
    this.host.replaceChildren(...[...this.layers.values()].flatMap((layer) => layer(this.view)));
  }
}

/** A line in the accent with paper on both sides of it, so that it is seen on the picked plate too. */
export function cased(name: string, tag: 'path' | 'circle', attributes: Record<string, string | number>): SVGElement[] {
  return [`${name} case`, name].map((own) => svg(tag, { ...attributes, class: own }));
}

const short = (px: number): string => px.toFixed(1);

/** Path data through places as they are seen. */
export function seenPath(view: BodyView, places: Vector3[]): string {
  return places
    .map((place, k) => {
      const { x, y } = view.see(place);
      return `${k === 0 ? 'M' : 'L'}${short(x)} ${short(y)}`;
    })
    .join('');
}
