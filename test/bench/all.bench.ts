import { coverageBench } from './coverage.bench'
import { repaintBench } from './repaint.bench'

await coverageBench()
await repaintBench()
