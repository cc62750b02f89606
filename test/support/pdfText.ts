import { spawnSync } from 'node:child_process'

/** True where poppler's text extractor, which is nothing of this project, is installed. */
export const HAS_PDF_TEXT = spawnSync('pdftotext', ['-v']).error === undefined

/** Pages of a PDF as text, every run of white space one space. */
export function pdfPages(pdf: Uint8Array): string[] {
  const { stdout } = spawnSync('pdftotext', ['-layout', '-', '-'], {
    input: pdf,
    encoding: 'utf8',
    maxBuffer: 1 << 26,
  })
  return stdout
    .split('\f')
    .map((page) => page.replace(/\s+/g, ' ').trim())
    .filter((page) => page !== '')
}

/** Size of a PDF's first page, millimetres. */
export function pdfPaperMm(pdf: Uint8Array): [width: number, height: number] {
  const [, width, height] =
    /\/MediaBox\s*\[\s*0\s+0\s+([\d.]+)\s+([\d.]+)/.exec(Buffer.from(pdf).toString('latin1')) ?? []
  const mm = (points: string) => (Number(points) * 25.4) / 72
  return [mm(width), mm(height)]
}
