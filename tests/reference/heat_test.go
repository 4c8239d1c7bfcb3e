package reference_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/sim"
	"github.com/wattkeel/wattkeel/service/spec"
)

// joule is the lumped heat balance with the Joule part alone.
func joule() source {
	return source{"Bernardi, Pawlikowski, Newman, J. Electrochem. Soc. 132, 5 (1985), Joule part; lumped balance", computed}
}

// steady is one cell charged at amp through ohm for so many seconds: its
// capacity is what passes, and no voltage or power ends it sooner.
func steady(amp, ohm, seconds float64) sim.Charge {
	curve := cell.NewCurve([]cell.Sample{{Charge: 0, Volt: 3}, {Charge: 1, Volt: 4}})
	return sim.Run(curve, []sim.Group{{Count: 1, Coulomb: amp * seconds, Charge: 0, Ohm: ohm}},
		sim.Program{CurrentA: amp, PowerW: math.Inf(1), EndV: 1000, TaperA: amp / 1000}, nil)
}

// lump is a pack of so many kilograms, J/(kg·K) and W/K in a room at 20 °C.
func lump(kg, specific, conductance float64) cell.Thermal {
	return cell.Thermal{HeatCapacityJK: kg * specific, ConductanceWK: conductance, AmbientDegC: 20, StartDegC: 20}
}

// heatRows are checks 7d to 7g.
func heatRows(specific float64) []row {
	const insulated = 1e-9 // W/K: as good as none over an hour
	minute := steady(50, 0.020, 60)
	bare := sim.Warm(&minute, lump(0.5, specific, insulated))
	bareEnd := bare.EndDegC
	long := steady(50, 0.020, 40*3600)
	cooled := sim.Warm(&long, lump(0.5, specific, 0.30))
	after := steady(50, 0.020, 0.5*specific/0.30)
	oneTau := sim.Warm(&after, lump(0.5, specific, 0.30))
	burst := steady(50, 0.005, 360)
	hot := sim.Warm(&burst, lump(0.13, specific, insulated))
	once, twice := steady(25, 0.020, 60), steady(50, 0.020, 60)
	onceWarm, twiceWarm := sim.Warm(&once, lump(0.5, specific, insulated)), sim.Warm(&twice, lump(0.5, specific, insulated))
	floating := tol{rel: 1e-9, abs: 1e-9, why: "closed forms on both sides"}
	return []row{
		num("7d", "20 mΩ, 50 A: W", 50, minute.HeatJ/minute.Seconds, floating, joule()),
		num("7d", "0.5 kg, no cooling: K in a minute", 6.0, bareEnd-20, tol{abs: 1e-6, why: "1e-9 W/K is not quite no cooling"}, joule()),
		num("7e", "cooled by 0.30 W/K: time constant, s", 1667, lump(0.5, specific, 0.30).TimeConstant(), tol{rel: 1e-3, why: "as published beside the value"}, joule()),
		num("7e", "steady rise, K", 166.7, cooled.EndDegC-20, tol{rel: 1e-3, why: "as published beside the value"}, joule()),
		num("7e", "rise after one time constant, K", 166.7*(1-1/math.E), oneTau.EndDegC-20, tol{rel: 1e-3, why: "as published for the steady rise"}, joule()),
		num("7f", "5 Ah, 5 mΩ, 0.13 kg, 10 C for 6 min: K", 34.6, hot.PeakDegC-20, tol{rel: 0.005, why: "as published beside the value"}, joule()),
		num("7g", "twice the current: times the heat", 4, twice.HeatJ/once.HeatJ, floating, joule()),
		num("7g", "twice the current: times the rise", 4, (twiceWarm.EndDegC-20)/(onceWarm.EndDegC-20), tol{rel: 1e-6, why: "1e-9 W/K is not quite no cooling"}, joule()),
	}
}

// A whole charge, with its decaying current: the heat that has gone into the
// lump is the heat the kernel says it made, and the cooled pack is never warmer.
func wholeChargeRows(factor float64) []row {
	charge := sim.Run(cell.NewTable().Get(spec.LiPo).Curve, []sim.Group{{Count: 3, Coulomb: 7920, Charge: 0.1, Ohm: 0.03}},
		sim.Program{CurrentA: 2.2, PowerW: math.Inf(1), EndV: 4.2, TaperA: 0.11}, nil)
	bare := sim.Warm(&charge, lump(0.190*factor, 1000, 1e-9))
	rise := bare.EndDegC - 20
	cooled := sim.Warm(&charge, lump(0.190*factor, 1000, 0.12))
	colder := "colder"
	if cooled.PeakDegC >= bare.PeakDegC || cooled.EndDegC >= bare.EndDegC {
		colder = "not colder"
	}
	return []row{
		num("7h", "a whole charge without cooling: J kept in the pack", charge.HeatJ, rise*190, tol{rel: 1e-6, why: "1e-9 W/K is not quite no cooling"}, joule()),
		word("7h", "cooled, it stays", "colder", colder, joule()),
	}
}

// parameterRows hold what the planner takes for a pack against what is
// published.
func parameterRows(t *testing.T, kg float64) []row {
	t.Helper()
	model := cell.NewModel(chemistry(t, spec.LiPo), &spec.Pack{Chemistry: spec.LiPo, CellsSeries: 3, CapacityMAh: 2200, MassG: new(kg * 1000)}, cell.Surroundings(nil), spec.FromAssumedEmpty, nil)
	rows := []row{
		num("7i", "J/(kg·K) of a pack", 1000, model.Thermal.HeatCapacityJK/0.190, tol{abs: 100, why: "as published: 1000 ± 100, of 800 to 1100 measured"}, source{"published summary of measured cells", read}),
	}
	for _, x := range []struct {
		name      spec.Chemistry
		low, high float64
	}{{spec.LiPo, 120, 180}, {spec.LiIon, 200, 260}, {spec.LiFePO4, 90, 130}, {spec.NiMH, 60, 100}} {
		c := chemistry(t, x.name)
		rows = append(rows, within("7i", fmt.Sprintf("%s, Wh/kg", x.name), x.low, x.high, c.EnergyJKg.Value/3600*kg/0.190, "the range from memory", source{"specific energy of packs", memory}))
	}
	return rows
}

func TestHeat(t *testing.T) {
	checkTable(t, "the lumped heat balance", heatRows(1000))
	mustFail(t, "1020 J/(kg·K)", 3, heatRows(1020))
	checkTable(t, "heat of a whole charge", wholeChargeRows(1))
	mustFail(t, "a thousandth more mass", 1, wholeChargeRows(1.001))
	checkTable(t, "heat parameters", parameterRows(t, 0.190))
	mustFail(t, "twice the mass", 5, parameterRows(t, 0.380))
}
