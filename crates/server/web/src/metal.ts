// How metal looks: a ready-shaded ball of each metal, looked up by the way a face is turned to the eye.
// Needs no lamps, costs one texture look-up, and turns with the eye as polished sheet does.

import {
  Color,
  DataTexture,
  DoubleSide,
  LinearFilter,
  MeshBasicMaterial,
  MeshMatcapMaterial,
  SRGBColorSpace,
  Vector3,
  type Material,
} from 'three';

const SIZE = 96;

interface Finish {
  base: string;
  shade: string;
  shine: number;
}

const FINISHES: Record<string, Finish> = {
  'nickel-silver': { base: '#d9d3c4', shade: '#6d675c', shine: 0.5 },
  brass: { base: '#e0bd6c', shade: '#6f5320', shine: 0.5 },
  steel: { base: '#b9bbbb', shade: '#54575a', shine: 0.3 },
  cast: { base: '#c3bfb5', shade: '#625f58', shine: 0.12 },
  lit: { base: '#8fb0b4', shade: '#2c4a50', shine: 0.35 },
  picked: { base: '#a63a46', shade: '#4c0f18', shine: 0.35 },
};

const LAMP = new Vector3(-0.42, 0.6, 0.68).normalize();
const SKY = new Vector3(0.75, 0.35, 0.55).normalize();

function ball(finish: Finish): DataTexture {
  const base = new Color().setStyle(finish.base, SRGBColorSpace).convertLinearToSRGB();
  const shade = new Color().setStyle(finish.shade, SRGBColorSpace).convertLinearToSRGB();
  const data = new Uint8Array(SIZE * SIZE * 4);
  const normal = new Vector3();
  const colour = new Color();
  for (let row = 0; row < SIZE; row += 1) {
    for (let column = 0; column < SIZE; column += 1) {
      const x = ((column + 0.5) / SIZE) * 2 - 1;
      const y = ((row + 0.5) / SIZE) * 2 - 1;
      const flat = Math.min(1, x * x + y * y);
      normal.set(x, y, Math.sqrt(1 - flat));
      const lit = 0.42 + 0.5 * Math.max(0, normal.dot(LAMP)) + 0.16 * Math.max(0, normal.dot(SKY));
      const shine = finish.shine * Math.max(0, normal.dot(LAMP)) ** 18;
      colour.copy(shade).lerp(base, Math.min(1, lit));
      const at = (row * SIZE + column) * 4;
      data[at] = 255 * Math.min(1, colour.r + shine * 0.4);
      data[at + 1] = 255 * Math.min(1, colour.g + shine * 0.4);
      data[at + 2] = 255 * Math.min(1, colour.b + shine * 0.38);
      data[at + 3] = 255;
    }
  }
  const texture = new DataTexture(data, SIZE, SIZE);
  texture.colorSpace = SRGBColorSpace;
  texture.minFilter = LinearFilter;
  texture.magFilter = LinearFilter;
  texture.needsUpdate = true;
  return texture;
}

function finishOf(metal: string, fitting: boolean): string {
  if (/brass/i.test(metal)) return 'brass';
  if (/nickel/i.test(metal)) return 'nickel-silver';
  if (/steel|iron/i.test(metal)) return 'steel';
  return fitting ? 'cast' : 'nickel-silver';
}

/** `lit` is a neighbour of the picked plate; `outline` hides what is behind and shows only lines. */
export type Look = 'plain' | 'picked' | 'lit' | 'faint' | 'outline';

/** A ball of no metal in particular, to be coloured. */
export function plainBall(): DataTexture {
  plain ??= ball({ base: '#ffffff', shade: '#6a6a6a', shine: 0.1 });
  return plain;
}

let plain: DataTexture | null = null;

/** Materials shared by all parts, made on first use. */
export class Metals {
  private readonly made = new Map<string, Material>();

  all(): Iterable<Material> {
    return this.made.values();
  }

  /** `coloured` parts show the colours that they bring along, as those of an engine that is drawn wrong. */
  material(metal: string, fitting: boolean, look: Look, coloured = false): Material {
    const finish = look === 'picked' || look === 'lit' ? look : finishOf(metal, fitting);
    const key = `${coloured ? 'coloured' : finish} ${look}`;
    const known = this.made.get(key);
    if (known) return known;
    const material = look === 'outline' ? hiding() : coloured ? colouredOf(look) : metalOf(finish, look);
    this.made.set(key, material);
    return material;
  }
}

/** Keeps the ink lines on top of the faces that they bound. */
const BEHIND_LINES = { polygonOffset: true, polygonOffsetFactor: 1, polygonOffsetUnits: 1 };

function hiding(): Material {
  return new MeshBasicMaterial({ colorWrite: false, side: DoubleSide, ...BEHIND_LINES });
}

/** Needs no lamps: shading would change the colours, which are to be read. */
function colouredOf(look: Look): Material {
  return new MeshBasicMaterial({
    vertexColors: true,
    side: DoubleSide,
    ...BEHIND_LINES,
    transparent: look === 'faint',
    opacity: look === 'faint' ? 0.13 : 1,
    depthWrite: look !== 'faint',
  });
}

function metalOf(finish: string, look: Look): Material {
  return new MeshMatcapMaterial({
    matcap: ball(FINISHES[finish] ?? { base: '#cccccc', shade: '#666666', shine: 0.2 }),
    // A cut shows the inside of the sheet, so both sides are drawn.
    side: DoubleSide,
    ...BEHIND_LINES,
    transparent: look === 'faint',
    opacity: look === 'faint' ? 0.13 : 1,
    depthWrite: look !== 'faint',
  });
}
