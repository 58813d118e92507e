// What can be pointed at on the flat: edges, bends and rivets are laid over it unseen, openings and points are there already.

import type { Feature, Place } from './api';
import { svg } from './dom';
import { featureWords } from './features';
import { toPixels, turned, type Layout } from './outline';

export interface FlatFeatureEvents {
  pointed(feature: Feature | null): void;
  chosen(feature: Feature, at: [number, number] | null): void;
}

/** A rivet is pointed at within this (px) at least. */
const REACH_PX = 6;

type Flat = readonly [number, number];

export class FlatFeatures {
  private features: Feature[] = [];
  private content: SVGGElement | null = null;
  private layout: Layout = { px_per_mm: 1, origin_x_px: 0, origin_y_px: 0 };
  private turns = 0;
  private lit: Feature | null = null;
  private mark: Flat | null = null;
  private readonly over = svg('g', { class: 'lit', 'aria-hidden': 'true' });

  constructor(
    host: SVGSVGElement,
    events: FlatFeatureEvents,
  ) {
    const of = (event: Event): Feature | null => {
      const id = (event.target as Element).closest('[data-feature]')?.getAttribute('data-feature');
      return this.features.find((feature) => feature.id === id) ?? null;
    };
    for (const name of ['pointerover', 'focusin'] as const) host.addEventListener(name, (event) => events.pointed(of(event)));
    for (const name of ['pointerleave', 'focusout'] as const) host.addEventListener(name, () => events.pointed(null));
    host.addEventListener('click', (event) => {
      const feature = of(event);
      if (feature) events.chosen(feature, this.placeOf(host, event));
    });
    host.addEventListener('keydown', (event) => {
      const feature = of(event);
      if (feature && (event.key === 'Enter' || event.key === ' ')) {
        event.preventDefault();
        events.chosen(feature, null);
      }
    });
  }

  setFeatures(features: Feature[]): void {
    this.features = features;
    this.lay();
  }

  /** The flat was drawn anew. */
  drawn(content: SVGGElement, layout: Layout, turns: number): void {
    this.content = content;
    this.layout = layout;
    this.turns = turns;
    this.lay();
  }

  light(feature: Feature | null): void {
    this.lit = feature;
    this.ink();
  }

  /** Marks a place of the flat (mm), or none. */
  setMark(at: Flat | null): void {
    this.mark = at;
    this.ink();
  }

  private at([x_mm, y_mm]: Flat): [number, number] {
    const place: Place = turned({ x_mm, y_mm }, this.turns);
    return toPixels(this.layout, place);
  }

  private path(run: readonly Flat[], close = false): string {
    const steps = run.map((place, k) => `${k === 0 ? 'M' : 'L'}${this.at(place).map((px) => px.toFixed(2)).join(' ')}`);
    return steps.join('') + (close ? 'Z' : '');
  }

  private placeOf(host: SVGSVGElement, event: MouseEvent): [number, number] | null {
    const matrix = this.content?.getScreenCTM();
    if (!matrix) return null;
    const point = new DOMPoint(event.clientX, event.clientY, 0, 1).matrixTransform(matrix.inverse());
    const x_mm = (point.x - this.layout.origin_x_px) / this.layout.px_per_mm;
    const y_mm = (this.layout.origin_y_px - point.y) / this.layout.px_per_mm;
    const place = turned({ x_mm, y_mm }, -this.turns);
    return host.isConnected ? [place.x_mm, place.y_mm] : null;
  }

  private lay(): void {
    const { content } = this;
    content?.querySelector('.touch')?.remove();
    if (!content || this.features.length === 0) return;
    const group = svg('g', { class: 'touch' });
    for (const kind of ['bend', 'edge', 'rivet'] as const) {
      for (const feature of this.features) if (feature.kind === kind) group.append(this.touch(feature));
    }
    content.insertBefore(group, content.querySelector('.holes'));
    content.append(this.over);
    this.ink();
  }

  private touch(feature: Feature): SVGElement {
    const words = featureWords(feature);
    const common = { 'data-feature': feature.id, 'aria-label': words, role: 'button' };
    if (feature.kind === 'rivet' && feature.at) {
      const [cx, cy] = this.at(feature.at.flat_mm);
      const r = Math.max(REACH_PX, ((feature.diameter_mm ?? 0) / 2) * this.layout.px_per_mm);
      return svg('circle', { ...common, cx, cy, r, tabindex: -1 }, svg('title', {}, words));
    }
    if (feature.kind === 'edge') {
      const d = this.path(feature.runs[0]?.flat_mm ?? []);
      return svg('path', { ...common, class: 'touch-line', d, tabindex: 0 }, svg('title', {}, words));
    }
    // The metal between the rulings that are shown of a bend.
    const d = feature.runs
      .slice(1)
      .map((run, k) => this.path([...(feature.runs[k]?.flat_mm ?? []), ...[...run.flat_mm].reverse()], true))
      .join('');
    return svg('path', { ...common, d, tabindex: 0 }, svg('title', {}, words));
  }

  private ink(): void {
    this.over.replaceChildren();
    if (this.lit && this.features.includes(this.lit)) {
      const feature = this.lit;
      this.over.append(svg('path', { d: feature.runs.map((run) => this.path(run.flat_mm)).join('') }));
      if (feature.at) {
        const [cx, cy] = this.at(feature.at.flat_mm);
        this.over.append(svg('circle', { cx, cy, r: 5 }));
      }
    }
    if (this.mark) {
      const [cx, cy] = this.at(this.mark);
      this.over.append(svg('circle', { class: 'mark', cx, cy, r: 9 }), svg('circle', { class: 'mark', cx, cy, r: 14 }));
    }
  }
}

