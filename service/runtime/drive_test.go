package runtime

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/sim"
	"github.com/wattkeel/wattkeel/service/spec"
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

// The voltage of a nimh pack comes to rest under a resistor: the run at the long end goes to the reserve,
// whatever the last digit says of the cut-off.
func TestLongEndOfAResistorOnNickel(t *testing.T) {
	z, ohm := 54.15925961731875, 3.6*6/(0.3991822638064623*math.Exp(2.5))
	q := &Request{
		Pack: spec.Pack{Chemistry: spec.NiMH, CellsSeries: 6, CapacityMAh: 399.1822638064623, ChargePercent: &z},
		Load: spec.Load{Kind: spec.ConstantResistance, ResistanceOhm: &ohm},
	}
	w := worked(q)
	least, most := w.model.OhmRange()
	require.Greater(t, w.span.longF, least)
	require.Less(t, w.span.longF, most)
	for i := range 100 {
		f := least * math.Pow(w.span.longF/least, float64(i)/100)
		assert.LessOrEqual(t, w.at(corner{cell.High, cell.High, f}).Seconds, w.span.high)
	}
}
