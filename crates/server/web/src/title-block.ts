// The title block: what the sheet shows, and the choices that change it.

import { SCALES, WHEELS } from './address';
import type { ModelEntry, Plate, PlateList } from './api';
import { byId, html, mm, words } from './dom';
import { DRAWING_SCALES, scaleName } from './flat-view';

export interface TitleBlockEvents {
  model(name: string): void;
  scale(name: string): void;
  wheels(name: string): void;
  variant(name: string): void;
  drawingScale(ratio: number | null): void;
}

const SCALE_TITLES: Record<string, string> = { '4mm': '4 mm to 1 ft', '7mm': '7 mm to 1 ft' };
const WHEEL_TITLES: Record<string, string> = { oo: 'OO', em: 'EM', p4: 'P4', fine: 'Fine', exact: 'Exact' };

function option(value: string, title: string): HTMLOptionElement {
  return html('option', { value }, title);
}

/** Shows a value that the model file chose even when it is none of the usual ones. */
function setValue(select: HTMLSelectElement, value: string, title: string): void {
  if (value && ![...select.options].some((known) => known.value === value)) select.append(option(value, title));
  select.value = value;
}

export class TitleBlock {
  private readonly model = byId<HTMLSelectElement>('model');
  private readonly scale = byId<HTMLSelectElement>('scale');
  private readonly wheels = byId<HTMLSelectElement>('wheels');
  private readonly variant = byId<HTMLSelectElement>('variant');
  private readonly drawing = byId<HTMLSelectElement>('drawing-scale');

  constructor(events: TitleBlockEvents) {
    this.scale.append(...SCALES.map((name) => option(name, SCALE_TITLES[name] ?? name)));
    this.wheels.append(...WHEELS.map((name) => option(name, WHEEL_TITLES[name] ?? name)));
    this.drawing.append(option('', 'to fit'), ...DRAWING_SCALES.map((ratio) => option(String(ratio), scaleName(ratio))));
    // Until the model file is read nothing is known to stand here.
    this.scale.selectedIndex = -1;
    this.wheels.selectedIndex = -1;
    this.model.addEventListener('change', () => events.model(this.model.value));
    this.scale.addEventListener('change', () => events.scale(this.scale.value));
    this.wheels.addEventListener('change', () => events.wheels(this.wheels.value));
    this.variant.addEventListener('change', () => events.variant(this.variant.value));
    this.drawing.addEventListener('change', () => events.drawingScale(Number(this.drawing.value) || null));
  }

  setModels(models: ModelEntry[], current: string): void {
    this.model.replaceChildren(...models.map((entry) => option(entry.name, entry.title)));
    setValue(this.model, current, current);
    byId('railway').textContent = models.find((entry) => entry.name === current)?.railway ?? '';
  }

  setList(list: PlateList): void {
    setValue(this.scale, list.scale, `${list.mm_per_foot} mm to 1 ft`);
    setValue(this.wheels, list.wheels, list.wheels);
    const entry = [...this.model.options].find((known) => known.value === list.model);
    // A variant has a title of its own; the class keeps the file's.
    setValue(this.model, list.model, entry?.text ?? list.title);
    byId('variant-row').hidden = list.variants.length === 0;
    this.variant.replaceChildren(
      option('', 'none, the file itself'),
      ...list.variants.map((variant) => option(variant.name, variant.title)),
    );
    setValue(this.variant, list.variant ?? '', list.variant ?? '');
    byId('railway').textContent = list.railway;
    document.title = `${list.title}, ${list.scale} scale: Platework`;
  }

  /** What is picked: a plate, a fitting by its title, or nothing. */
  setPicked(plate: Plate | null, title: string): void {
    byId('plate-title').textContent = title || 'none picked';
    byId('plate-metal').textContent = plate ? `${words(plate.metal)}, ${mm(plate.thickness_mm)} mm` : '–';
  }

  setDrawn(ratio: number | null): void {
    byId('drawn').textContent = ratio === null ? '–' : scaleName(ratio);
  }
}
