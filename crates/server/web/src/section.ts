// A cut through the body: what lies before the plane is taken away, and the cut metal is hatched.
//
// The hatching needs no cutting of meshes. Of each closed part the faces behind the plane are counted in the stencil
// buffer, back faces up and front faces down: where the count is not nought, the plane lies inside metal.

import {
  AlwaysStencilFunc,
  BackSide,
  Color,
  DecrementWrapStencilOp,
  DoubleSide,
  FrontSide,
  IncrementWrapStencilOp,
  KeepStencilOp,
  LinearSRGBColorSpace,
  Mesh,
  MeshBasicMaterial,
  NotEqualStencilFunc,
  Plane,
  PlaneGeometry,
  ReplaceStencilOp,
  ShaderMaterial,
  Vector3,
  type Box3,
  type Material,
  type Scene,
  type Side,
  type StencilOp,
  type WebGLRenderer,
} from 'three';
import type { Body, Part } from './body';

export type Axis = 'x' | 'y' | 'z';

export interface Cut {
  axis: Axis;
  at_mm: number;
  /** Keeps the other side of the plane. */
  other: boolean;
}

const NORMALS: Record<Axis, Vector3> = { x: new Vector3(1, 0, 0), y: new Vector3(0, 1, 0), z: new Vector3(0, 0, -1) };

// Thin metal is filled in ink, as sections of plate are on drawings; where it is thick enough the hatching shows.
// Neighbours are hatched to opposite hands, and the picked plate is in the accent.
const HATCHES = [
  { fill: '#3a3d43', line: '#bdb8a8', hand: 1 },
  { fill: '#3a3d43', line: '#bdb8a8', hand: -1 },
  { fill: '#7a1f2b', line: '#e0b3ae', hand: 1 },
] as const;
const PICKED_HATCH = 2;

function hatchMaterial(kind: (typeof HATCHES)[number], pixelRatio: number): ShaderMaterial {
  // Written to the canvas as they stand, so they are kept out of colour management.
  const plain = (style: string): Color => new Color().setStyle(style, LinearSRGBColorSpace);
  return new ShaderMaterial({
    side: DoubleSide,
    uniforms: {
      fill: { value: plain(kind.fill) },
      line: { value: plain(kind.line) },
      hand: { value: kind.hand },
      pitch: { value: 7 * pixelRatio },
      width: { value: 1.1 * pixelRatio },
    },
    vertexShader: 'void main() { gl_Position = projectionMatrix * modelViewMatrix * vec4(position, 1.0); }',
    fragmentShader: `
      uniform vec3 fill; uniform vec3 line; uniform float hand; uniform float pitch; uniform float width;
      void main() {
        float across = mod((gl_FragCoord.x + hand * gl_FragCoord.y) * 0.7071, pitch);
        gl_FragColor = vec4(across < width ? line : fill, 1.0);
      }`,
    stencilWrite: true,
    stencilRef: 0,
    stencilFunc: NotEqualStencilFunc,
    stencilFail: ReplaceStencilOp,
    stencilZFail: ReplaceStencilOp,
    stencilZPass: ReplaceStencilOp,
  });
}

function countingMaterial(side: Side, op: StencilOp, planes: Plane[]): MeshBasicMaterial {
  return new MeshBasicMaterial({
    side,
    colorWrite: false,
    depthWrite: false,
    depthTest: false,
    clippingPlanes: planes,
    stencilWrite: true,
    stencilFunc: AlwaysStencilFunc,
    stencilFail: KeepStencilOp,
    stencilZFail: op,
    stencilZPass: op,
  });
}

export class Section {
  readonly plane = new Plane();
  private readonly planes = [this.plane];
  private readonly up = countingMaterial(BackSide, IncrementWrapStencilOp, this.planes);
  private readonly down = countingMaterial(FrontSide, DecrementWrapStencilOp, this.planes);
  private readonly caps: Mesh[];
  private readonly counters = new Map<Part, Mesh[]>();
  private cut: Cut | null = null;

  constructor(scene: Scene, pixelRatio: number) {
    const geometry = new PlaneGeometry(1, 1);
    this.caps = HATCHES.map((kind, k) => {
      const cap = new Mesh(geometry, hatchMaterial(kind, pixelRatio));
      cap.renderOrder = 2 * k + 2;
      cap.visible = false;
      cap.raycast = () => undefined;
      cap.onAfterRender = (renderer: WebGLRenderer) => renderer.clearStencil();
      scene.add(cap);
      return cap;
    });
  }

  get on(): boolean {
    return this.cut !== null;
  }

  set(cut: Cut | null, bounds: Box3): void {
    this.cut = cut;
    for (const cap of this.caps) cap.visible = cut !== null;
    if (!cut) return;
    const normal = NORMALS[cut.axis].clone();
    if (cut.other) normal.negate();
    const point = bounds.getCenter(new Vector3());
    point[cut.axis] = cut.at_mm;
    this.plane.setFromNormalAndCoplanarPoint(normal, point);
    const size = bounds.getSize(new Vector3()).length() * 2 + 1;
    for (const cap of this.caps) {
      cap.position.copy(point);
      cap.scale.set(size, size, 1);
      cap.lookAt(point.clone().add(normal));
    }
  }

  /** Gives the materials of the body the plane, or takes it from them. */
  clip(materials: Iterable<Material>): void {
    const planes = this.cut ? this.planes : null;
    for (const material of materials) {
      if (material.clippingPlanes === planes) continue;
      material.clippingPlanes = planes;
      material.needsUpdate = true;
    }
  }

  /** Makes and shows the counting meshes of each part that is drawn solid. */
  count(body: Body, picked: string, solid: (part: Part) => boolean): void {
    let number = 0;
    for (const part of body.parts.values()) {
      const counts = this.cut !== null && solid(part);
      if (counts && !this.counters.has(part)) this.counters.set(part, this.makeCounters(part));
      const hatch = part.id === picked ? PICKED_HATCH : number % PICKED_HATCH;
      for (const mesh of this.counters.get(part) ?? []) {
        mesh.visible = counts;
        mesh.renderOrder = 2 * hatch + 1;
      }
      number += 1;
    }
  }

  forget(): void {
    this.counters.clear();
  }

  private makeCounters(part: Part): Mesh[] {
    return part.meshes.flatMap((mesh) =>
      [this.up, this.down].map((material) => {
        const counter = new Mesh(mesh.geometry, material);
        counter.raycast = () => undefined;
        mesh.add(counter);
        return counter;
      }),
    );
  }

  /** Whether a point was left standing by the cut. */
  keeps(point: Vector3): boolean {
    return this.cut === null || this.plane.distanceToPoint(point) >= 0;
  }
}
