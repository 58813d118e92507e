// Looks at pictures with the browser's own decoder, in an empty page beside the tested one.

export class Pixels {
  constructor(page) {
    this.page = page;
  }

  /** How many pixels are within `near` (per channel, of 255) of the colour "#rrggbb". */
  async count(png, colour, near = 3) {
    return this.page.evaluate(
      async ([data, wanted, tolerance]) => {
        const bytes = Uint8Array.from(atob(data), (letter) => letter.charCodeAt(0));
        const picture = await createImageBitmap(new Blob([bytes], { type: 'image/png' }));
        const context = new OffscreenCanvas(picture.width, picture.height).getContext('2d');
        context.drawImage(picture, 0, 0);
        const { data: rgba } = context.getImageData(0, 0, picture.width, picture.height);
        const [r, g, b] = [1, 3, 5].map((at) => parseInt(wanted.slice(at, at + 2), 16));
        let count = 0;
        for (let at = 0; at < rgba.length; at += 4) {
          const off = Math.max(Math.abs(rgba[at] - r), Math.abs(rgba[at + 1] - g), Math.abs(rgba[at + 2] - b));
          if (off <= tolerance) count += 1;
        }
        return count;
      },
      [png.toString('base64'), colour, near],
    );
  }
}
