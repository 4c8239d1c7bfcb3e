package runtime

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/sim"
)

// What is shared out where the reserve ends a run is near what runs with one cause alone tell. The
// time is proportional to capacity at given currents only, a power draws less of a fuller pack,
// and a cycle is in another segment at another time: hence the hundredths of the run, and
// a cycle of leeway.
func TestDriversAreNearRunsOfOneCauseAlone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		q := anyRun(t)
		w := worked(q)
		if w.run0.Stop != sim.StopReserve {
			t.Skip("worked out by runs")
		}
		leeway := 0.0
		for i := range w.draw.Segments {
			leeway += w.draw.Segments[i].Seconds
		}
		near := func(what string, by float64, c corner) {
			if r := w.at(c); r.Stop == sim.StopReserve {
				assert.InDelta(t, w.run0.Seconds-r.Seconds, by, 0.02*w.run0.Seconds+leeway, what)
			}
		}
		near("capacity", w.span.byCapacity, corner{coulomb: cell.Low})
		near("start", w.span.byStart, corner{charge: cell.Low})
	})
}
