package reference_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/spec"
)

// reading is what a meter that waits so many seconds after a step of current
// shows on the published cell, half full, in ohms.
func (p polymer) reading(seconds float64) float64 {
	const s = 0.5
	pair := func(ohm, farad float64) float64 { return ohm * -math.Expm1(-seconds/(ohm*farad)) }
	return p.rSeries(s) + pair(p.rShort(s), p.cShort(s)) + pair(p.rLong(s), p.cLong(s))
}

// resistanceRows give the readings of the published cell to the service, which
// turns each into the one resistance it plans with, and states a range. The
// published cell's own is the sum of its three, and must lie in that range.
func resistanceRows(t *testing.T, p polymer, factor float64) []row {
	t.Helper()
	lipo := chemistry(t, spec.LiPo)
	from := polymerPaper()
	from.as = computed
	ohm := func(mOhm []float64, m spec.ResistanceMethod) cell.Estimate {
		pack := spec.Pack{Chemistry: spec.LiPo, CellsSeries: 1, CapacityMAh: p.ah * 1000, CellResistancesMOhm: mOhm, ResistanceMethod: m, TemperatureDegC: new(25.0)}
		return cell.NewModel(lipo, &pack, cell.Surroundings(nil), spec.FromAssumedEmpty, nil).Groups[0].Ohm
	}
	planned := func(what string, e cell.Estimate) row {
		side := e.High - e.Expected
		if p.ohm(0.5) < e.Expected {
			side = e.Expected - e.Low
		}
		return num("1p", what+": mΩ planned with", p.ohm(0.5)*1000, e.Expected*1000,
			tol{abs: side * 1000, why: fmt.Sprintf("the range the service itself states, %.0f to %.0f mΩ", e.Low*1000, e.High*1000)}, from)
	}
	readAs := func(seconds float64, m spec.ResistanceMethod) cell.Estimate {
		return ohm([]float64{p.reading(seconds) * 1000 * factor}, m)
	}
	weighted := (p.rShort(0.5)*p.rShort(0.5)*p.cShort(0.5) + p.rLong(0.5)*p.rLong(0.5)*p.cLong(0.5)) / (p.rShort(0.5) + p.rLong(0.5))
	return []row{
		planned("read 10 s after a step, as dc_10s", readAs(10, spec.DC10s)),
		planned("read 1 s after a step, as dc_short", readAs(1, spec.DCShort)),
		planned("read 1 ms after a step, as ac_1khz", readAs(0.001, spec.AC1kHz)),
		within("1p", "planned resistance over the 10 s reading", 1.2, 2.2, p.ohm(0.5)/p.reading(10)*factor,
			"the design's range of published cells, here held against this one", shareSource()),
		num("1p", "polarization over series resistance", 1.3, (p.rShort(0.5)+p.rLong(0.5))/p.rSeries(0.5)*factor, tol{abs: 0.05, why: "printed to 0.1"}, from),
		num("1p", "time constant of the pairs, s", weighted, lipo.PolarTime.Value*factor, tol{rel: 0.005, why: "the service keeps whole seconds"}, from),
		planned("nothing known but polymer and 850 mAh", ohm(nil, "")),
	}
}

func TestResistanceOfThePublishedCell(t *testing.T) {
	checkTable(t, "the published polymer cell as the service reads it", resistanceRows(t, newPolymer(), 1))
	mustFail(t, "readings of three times the ohms", 5, resistanceRows(t, newPolymer(), 3))
}
