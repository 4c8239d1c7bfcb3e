package charge

import (
	"math"

	"github.com/wattkeel/wattkeel/service/sim"
	"github.com/wattkeel/wattkeel/service/spec"
)

// The answer is put together here, and here alone are its numbers rounded.
// Currents are rounded down to the charger's steps (limits.snap), the time
// limit and the charge cut-off up, everything else to 9 significant digits.

const minute, wattHour, milliampHour = 60.0, 3600.0, 3.6

// The steps in which a charger's guards are set, and the clock that ends a
// standard charge (common practice).
const timeStepMin, cutoffStepMAh, clockStepMin = 5.0, 10.0, 1.0

// start says what was taken as the start.
// numbers holds the optional numbers of one plan, so that they cost one
// allocation together.
type numbers struct {
	settings                           Settings
	endCell, endPack, taper, recovery  float64
	charge, energy, stored, heat, wall float64
	duration                           spec.Duration
	balancing                          Balancing
	temperature                        Temperature
}

// put lets an optional field point to its place among the numbers, and rounds.
func put(field **float64, at *float64, x float64) { *at = spec.Round9(x); *field = at }

func (w *work) assemble() {
	w.limits.bind(w.pen)
	p, c, n := w.plan, &w.solve.charge, &numbers{}
	p.Limits = w.limits.rounded()
	w.settings(n)
	p.Settings = &n.settings
	p.Phases = w.phases()
	w.duration(n)
	p.Duration = &n.duration
	put(&p.ChargeMAh, &n.charge, c.Coulombs/milliampHour)
	put(&p.StoredWh, &n.stored, c.StoredJ/wattHour)
	put(&p.HeatWh, &n.heat, (c.HeatJ+c.BypassJ)/wattHour)
	energy := (c.StoredJ + c.HeatJ + c.BypassJ) / wattHour
	put(&p.EnergyWh, &n.energy, energy)
	put(&p.WallEnergyWh, &n.wall, energy/w.limits.efficiency)
	if price := w.q.EnergyPricePerKWh; price != nil {
		p.WallCost = r9(energy / w.limits.efficiency / 1000 * *price)
	}
	if w.facts.Chemistry.Curve != nil {
		n.balancing = w.balancing()
		p.Balancing = &n.balancing
	}
	n.temperature = w.temperature()
	p.Temperature = &n.temperature
	p.Curve = w.curve()
	p.Steps = w.steps()
}

func (w *work) settings(n *numbers) {
	l, s := &w.limits, &n.settings
	pack := &w.q.Pack
	s.Program = spec.ChargeUnbalanced
	if w.balanced() {
		s.Program = spec.ChargeBalanced
	}
	s.Chemistry, s.CellsSeries = pack.Chemistry, pack.CellsSeries
	s.CurrentA = l.current
	s.CurrentCRate = spec.Round9(l.current / l.ah)
	s.TimeLimitMin = roundUp(w.span.high/minute, timeStepMin)
	s.ChargeCutoffMAh = roundUp(w.span.highC/milliampHour, cutoffStepMAh)
	if w.facts.Chemistry.Curve == nil {
		s.Termination = w.termination()
		if s.Termination.Method == ByTime {
			s.TimeLimitMin = roundUp(w.span.expected/minute, clockStepMin)
		}
		return
	}
	put(&s.EndVoltagePerCellV, &n.endCell, w.endCellV)
	put(&s.EndVoltageV, &n.endPack, w.endCellV*float64(pack.CellsSeries))
	put(&s.TaperCurrentA, &n.taper, min(w.taperA, l.current))
	if l.RecoveryA > 0 {
		put(&s.RecoveryCurrentA, &n.recovery, w.program(l.current).RecoveryA)
		n.recovery = min(n.recovery, s.CurrentA) // a fixed current is not rounded
	}
}

// balanced reports whether the cells are equalized.
func (w *work) balanced() bool {
	return w.q.Pack.Chemistry.Lithium() && w.q.Pack.CellsSeries > 1 && w.q.Charger.Balance != spec.BalanceNone
}

// roundUp rounds to the next whole step, and to one step at least.
func roundUp(x, step float64) float64 {
	return max(math.Ceil(x/step-1e-9), 1) * step
}

// phases merges the pieces of one kind.
func (w *work) phases() []Phase {
	c := &w.solve.charge
	out := make([]Phase, 0, 4)
	volts := make([]float64, 0, 8) // start and end of each phase
	for i := 0; i < len(c.Pieces); {
		first := &c.Pieces[i]
		x := Phase{Kind: phaseKind(first.Kind), StartCurrentA: spec.Round9(first.I0)}
		seconds, coulombs, last := 0.0, 0.0, i
		for ; i < len(c.Pieces) && c.Pieces[i].Kind == first.Kind; i++ {
			seconds += c.Pieces[i].Seconds
			coulombs += c.Pieces[i].Coulombs
			last = i
		}
		x.DurationMin, x.ChargeMAh = spec.Round9(seconds/minute), spec.Round9(coulombs/milliampHour)
		x.EndCurrentA = spec.Round9(c.Pieces[last].I1)
		if w.facts.Chemistry.Curve == nil {
			x.StartChargePercent, x.EndChargePercent = spec.Round9(w.nickelPercent(0)), spec.Round9(w.nickelPercent(c.Seconds))
		} else {
			from, to := c.StartOf(first), c.EndOf(&c.Pieces[last])
			volts = append(volts, spec.Round9(from.PackV), spec.Round9(to.PackV))
			n := len(volts)
			x.StartVoltageV, x.EndVoltageV = &volts[n-2], &volts[n-1]
			x.StartChargePercent, x.EndChargePercent = spec.Round9(from.Charge*100), spec.Round9(to.Charge*100)
		}
		out = append(out, x)
	}
	return out
}

func phaseKind(k sim.Kind) PhaseKind {
	switch k {
	case sim.Recovery:
		return Recovery
	case sim.PowerLimited:
		return PowerLimited
	case sim.ConstantVoltage:
		return ConstantVoltage
	case sim.Balancing:
		return BalancingPhase
	}
	return ConstantCurrent
}

func (w *work) duration(n *numbers) {
	s := &w.span
	n.duration = spec.Duration{
		ExpectedMin: spec.Round9(s.expected / minute),
		LowMin:      spec.Round9(s.low / minute),
		HighMin:     spec.Round9(s.high / minute),
		Drivers:     make([]spec.Driver, 0, 3),
	}
	add := func(seconds float64, field, measure string) {
		if seconds > 0 {
			n.duration.Drivers = append(n.duration.Drivers, spec.Driver{Field: field, WidensMin: spec.Round9(seconds / minute), Measure: measure})
		}
	}
	lithium := w.facts.Chemistry.Curve != nil
	switch {
	case w.model.From == spec.FromAssumedEmpty && lithium:
		// Taken as empty, the start cannot lengthen the charge: it can only
		// shorten it.
		add(s.expected-s.low, "/pack/cell_voltages_v", "measure the rested cell voltages: without them the pack is taken as empty")
	case lithium:
		add(s.byStart, "/pack/cell_voltages_v", "measure the cell voltages after an hour's rest, to the millivolt")
	default:
		add(s.byStart, "/pack/charge_percent", "empty the pack first, or count what was taken out of it: a nimh pack's voltage does not tell its charge")
	}
	add(s.byCapacity, "/pack/measured_capacity_mah", "measure the capacity: charge, rest and discharge once on a charger that counts")
	resistance := "measure the cell resistances at the temperature of the charge"
	if w.model.Measured {
		resistance = "measure the resistances with a 10 s load step (dc_10s), which says more than a 1 kHz reading"
	}
	add(s.byResists, "/pack/cell_resistances_mohm", resistance)
	spec.SortDrivers(n.duration.Drivers)
}

func (w *work) balancing() Balancing {
	c := &w.solve.charge
	return Balancing{
		TimeMin:     spec.Round9(c.BalanceS / minute),
		BypassedMAh: spec.Round9(c.BypassC / milliampHour), BypassedWh: spec.Round9(c.BypassJ / wattHour),
		RemainingSpreadMV: spec.Round9(c.SpreadV * 1000), LeftOutMAh: spec.Round9(c.LeftOutC / milliampHour),
	}
}

func (w *work) temperature() Temperature {
	t, h := w.model.Thermal, w.solve.warm
	return Temperature{
		AmbientDegC: spec.Round9(t.AmbientDegC), StartDegC: spec.Round9(t.StartDegC),
		RiseK: spec.Round9(h.PeakDegC - t.StartDegC), PeakDegC: spec.Round9(h.PeakDegC), EndDegC: spec.Round9(h.EndDegC),
	}
}

// curve samples the exact solution evenly in time, both ends included.
func (w *work) curve() []Point {
	n := w.q.CurvePoints
	if n == 0 {
		return nil
	}
	out := make([]Point, n)
	volts := make([]float64, 0, 3*n)
	c := &w.solve.charge
	for i := range out {
		t := sim.SampleTime(c.Seconds, i, n)
		x := &out[i]
		x.TS = spec.Round9(t)
		if w.facts.Chemistry.Curve == nil {
			x.CurrentA = spec.Round9(w.nickelA())
			x.ChargePercent = spec.Round9(w.nickelPercent(t))
			x.TemperatureDegC = spec.Round9(w.solve.warm.At(&c.Pieces[0], t))
			continue
		}
		s := c.At(t, &w.solve.warm)
		x.CurrentA, x.ChargePercent = spec.Round9(s.AmpA), spec.Round9(s.Charge*100)
		x.TemperatureDegC = spec.Round9(s.TempDegC)
		volts = append(volts, spec.Round9(s.PackV), spec.Round9(s.HighestV), spec.Round9(s.LowestV))
		v := volts[len(volts)-3:]
		x.PackVoltageV, x.HighestCellV, x.LowestCellV = &v[0], &v[1], &v[2]
	}
	return out
}
