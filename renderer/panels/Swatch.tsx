import { useEffect, useRef } from 'preact/hooks'
import { PATTERN_PIXELS } from '../../core/picture/colours'

const WIDTH = 40
const HEIGHT = 20

interface SwatchProps {
  /** Patterns one after the other, and which of them. */
  readonly words: Uint32Array
  readonly index: number
}

/** A sample of a class as the map shows it, pixel for pixel. */
export function Swatch({ words: patterns, index }: SwatchProps) {
  const canvas = useRef<HTMLCanvasElement>(null)
  useEffect(() => {
    const context = canvas.current?.getContext('2d')
    if (!context) return
    const image = context.createImageData(WIDTH, HEIGHT)
    const words = new Uint32Array(image.data.buffer)
    const first = index * PATTERN_PIXELS * PATTERN_PIXELS
    for (let i = 0; i < words.length; i++) {
      const [x, y] = [i % WIDTH, Math.floor(i / WIDTH)]
      words[i] = patterns[first + (y % PATTERN_PIXELS) * PATTERN_PIXELS + (x % PATTERN_PIXELS)]
    }
    context.putImageData(image, 0, 0)
  }, [patterns, index])
  return <canvas class="swatch" width={WIDTH} height={HEIGHT} ref={canvas} aria-hidden="true" />
}
