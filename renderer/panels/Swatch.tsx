import { useEffect, useRef } from 'preact/hooks'
import { COVERAGE_CLASSES, type CoverageClass } from '../../core/coverage/shares'
import { PATTERN_PIXELS, PATTERN_WORDS } from '../../core/picture/colours'

const WIDTH = 40
const HEIGHT = 20

/** A sample of a class as the map shows it, pixel for pixel. */
export function Swatch({ of }: { of: CoverageClass }) {
  const canvas = useRef<HTMLCanvasElement>(null)
  useEffect(() => {
    const context = canvas.current?.getContext('2d')
    if (!context) return
    const image = context.createImageData(WIDTH, HEIGHT)
    const words = new Uint32Array(image.data.buffer)
    const first = COVERAGE_CLASSES.indexOf(of) * PATTERN_PIXELS * PATTERN_PIXELS
    for (let i = 0; i < words.length; i++) {
      const [x, y] = [i % WIDTH, Math.floor(i / WIDTH)]
      words[i] = PATTERN_WORDS[first + (y % PATTERN_PIXELS) * PATTERN_PIXELS + (x % PATTERN_PIXELS)]
    }
    context.putImageData(image, 0, 0)
  }, [of])
  return <canvas class="swatch" width={WIDTH} height={HEIGHT} ref={canvas} aria-hidden="true" />
}
