// The views a works drawing has, as directions in body coordinates: x back from the front buffer beam, z up.

export const VIEW_NAMES = ['side', 'front', 'plan', 'rear', 'isometric'] as const;
export type ViewName = (typeof VIEW_NAMES)[number];

export interface StandardView {
  title: string;
  key: string;
  /** From the body towards the eye. The plan leans by a hair, so that "up" stays defined. */
  towardsEye: [number, number, number];
  /**
   * How the flat below is laid, in quarter turns counter-clockwise, so that it hangs together with this view.
   * Where the view has no direction of the plate in common with the flat, nothing: it is laid as it is drawn larger.
   */
  quarterTurns: number | null;
}

// Isometric by its definition: the eye is equally far along all three axes.
const THIRD = 1 / Math.sqrt(3);

export const VIEWS: Record<ViewName, StandardView> = {
  side: { title: 'Side elevation', key: 's', towardsEye: [0, -1, 0], quarterTurns: 0 },
  front: { title: 'Front elevation', key: 'f', towardsEye: [-1, 0, 0], quarterTurns: 1 },
  plan: { title: 'Plan', key: 'p', towardsEye: [0, -1e-5, 1], quarterTurns: 0 },
  rear: { title: 'Rear elevation', key: 'r', towardsEye: [1, 0, 0], quarterTurns: 3 },
  isometric: { title: 'Isometric', key: 'i', towardsEye: [-THIRD, -THIRD, THIRD], quarterTurns: null },
};

export function isViewName(word: string): word is ViewName {
  return (VIEW_NAMES as readonly string[]).includes(word);
}
