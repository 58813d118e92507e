// Whether this browser has been here before; where it may keep nothing, it has.

const PLACE = 'platework visited';

export function isFirstVisit(): boolean {
  try {
    return localStorage.getItem(PLACE) === null;
  } catch {
    return false;
  }
}

export function noteVisit(): void {
  try {
    localStorage.setItem(PLACE, 'yes');
  } catch {
    // Told again next time.
  }
}
