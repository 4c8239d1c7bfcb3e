// Package property holds what must be true of every answer, whatever was asked.
package property

import (
	"pgregory.net/rapid"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/charge"
	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/spec"
)

func planner() *charge.Planner { return charge.NewPlanner(cell.NewTable(), rule.All()) }

// maybe draws a value half of the time.
func maybe[T any](t *rapid.T, g *rapid.Generator[T], label string) *T {
	if !rapid.Bool().Draw(t, "has "+label) {
		return nil
	}
	v := g.Draw(t, label)
	return &v
}

func between(lo, hi float64) *rapid.Generator[float64] { return rapid.Float64Range(lo, hi) }

// oneOf draws a word of an enum, or none.
func oneOf[T ~string](t *rapid.T, words []string, label string) T {
	return T(rapid.SampledFrom(append([]string{""}, words...)).Draw(t, label))
}

// drawSane draws a request that a careful person would make: most of them get
// settings, so that the invariants of settings are tried.
func drawSane(t *rapid.T) *charge.Request {
	q := &charge.Request{
		Pack: spec.Pack{
			Chemistry:   spec.Chemistry(rapid.SampledFrom(spec.LiPo.Enum()).Draw(t, "chemistry")),
			CellsSeries: rapid.IntRange(1, 8).Draw(t, "cells"),
			CapacityMAh: rapid.OneOf(between(300, 8000), rapid.SampledFrom([]float64{450, 950, 2200, 5000})).Draw(t, "capacity"),
		},
		Charger: spec.Charger{
			Chemistries:    []spec.Chemistry{spec.LiPo, spec.LiHV, spec.LiIon, spec.LiFePO4, spec.NiMH},
			CellsSeriesMin: 1, CellsSeriesMax: 8,
			MaxChargeCurrentA: between(1, 20).Draw(t, "most current"),
			Balance:           spec.BalanceWithMainLead,
		},
	}
	p, c := &q.Pack, &q.Charger
	p.MaxChargeCRate = maybe(t, between(0.5, 5), "charge rate")
	list := func(lo, hi float64, label string) []float64 {
		return rapid.SliceOfN(between(lo, hi), p.CellsSeries, p.CellsSeries).Draw(t, label)
	}
	switch rapid.IntRange(0, 3).Draw(t, "start") {
	case 0:
		base := between(2.6, 4.1).Draw(t, "volt")
		if p.Chemistry == spec.LiFePO4 {
			base = between(2.1, 3.5).Draw(t, "iron volt")
		}
		p.CellVoltagesV = list(base-0.05, base+0.05, "volts")
	case 1:
		p.ChargePercent = maybe(t, between(0, 100), "percent")
	}
	if rapid.Bool().Draw(t, "has resistances") {
		p.CellResistancesMOhm = list(2, rapid.SampledFrom([]float64{5, 60}).Draw(t, "worst"), "milliohms")
	}
	p.TemperatureDegC = maybe(t, between(1, 43), "temperature")
	p.MeasuredCapacityMAh = maybe(t, between(p.CapacityMAh*0.7, p.CapacityMAh*1.05), "measured")
	c.MinChargeCurrentA = maybe(t, between(0.01, 0.1), "least current")
	c.ChargeCurrentStepA = maybe(t, rapid.SampledFrom([]float64{0.01, 0.05}), "step")
	c.MaxChargePowerW = maybe(t, between(5, 100), "power")
	c.BalanceCurrentA = maybe(t, between(0.05, 1), "bleed")
	if rapid.IntRange(0, 4).Draw(t, "fixed") == 0 { // where a power limit makes the charger hold itself back
		rate, a := 5.0, between(0.3, 1).Draw(t, "fixed rate")*p.CapacityMAh/1000
		p.MaxChargeCRate = &rate
		c.MaxChargeCurrentA = a
		c.MinChargeCurrentA = &c.MaxChargeCurrentA
	}
	if rapid.Bool().Draw(t, "has deadline") {
		m := between(20, 400).Draw(t, "ready in")
		q.Goal = &spec.Goal{ReadyInMin: &m}
	}
	if p.Chemistry.Lithium() {
		q.TargetCellVoltageV = maybe(t, between(3.3, 4.2), "target")
		q.TaperCRate = maybe(t, between(0.01, 0.2), "taper")
	}
	q.CurvePoints = rapid.SampledFrom([]int{0, 1, 2, 50}).Draw(t, "points")
	return q
}

// drawBoard joins one or two packs much like the first on a parallel board, and
// now and then one that is not.
func drawBoard(t *rapid.T, q *charge.Request) {
	q.Surroundings = &spec.Surroundings{}
	for range rapid.IntRange(1, 2).Draw(t, "packs") {
		p := q.Pack
		p.CapacityMAh *= between(0.9, 1.1).Draw(t, "capacity of another")
		if p.MeasuredCapacityMAh != nil && rapid.Bool().Draw(t, "not measured") {
			p.MeasuredCapacityMAh = nil
		}
		if len(p.CellVoltagesV) > 0 {
			shift := between(-0.06, 0.06).Draw(t, "apart")
			list := make([]float64, len(p.CellVoltagesV))
			for i, v := range p.CellVoltagesV {
				list[i] = max(v+shift, 0)
			}
			p.CellVoltagesV = list
		}
		if rapid.IntRange(0, 9).Draw(t, "stranger") == 0 {
			p = drawPack(t)
		}
		q.Surroundings.ParallelBoard = append(q.Surroundings.ParallelBoard, p)
	}
}

// drawPack draws any pack that validation lets through: from sensible to
// absurd.
func drawPack(t *rapid.T) spec.Pack {
	p := spec.Pack{
		Chemistry:   spec.Chemistry(rapid.SampledFrom(spec.LiPo.Enum()).Draw(t, "chemistry")),
		CellsSeries: rapid.IntRange(1, 8).Draw(t, "cells"),
		CapacityMAh: rapid.OneOf(between(10, 20000), rapid.SampledFrom([]float64{450, 950, 2200, 5000})).Draw(t, "capacity"),
	}
	p.MaxChargeCRate = maybe(t, between(0.05, 40), "charge rate")
	p.MaxDischargeCRate = maybe(t, between(0.5, 200), "discharge rate")
	list := func(g *rapid.Generator[float64], label string) []float64 {
		return rapid.SliceOfN(g, p.CellsSeries, p.CellsSeries).Draw(t, label)
	}
	volt := rapid.OneOf(between(0, 6), between(2.5, 4.4), between(3.6, 3.9))
	switch rapid.IntRange(0, 4).Draw(t, "start") {
	case 0:
		p.CellVoltagesV = list(volt, "volts")
	case 1:
		base := volt.Draw(t, "volt")
		p.CellVoltagesV = list(between(base*0.995, min(base*1.005, 6)), "near volts")
	case 2:
		v := volt.Draw(t, "pack volt") * float64(p.CellsSeries)
		p.PackVoltageV = &v
	case 3:
		z := between(0, 100).Draw(t, "percent")
		p.ChargePercent = &z
	}
	if rapid.Bool().Draw(t, "has resistances") {
		p.CellResistancesMOhm = list(rapid.OneOf(between(0.1, 500), between(2, 8)), "milliohms")
		p.ResistanceMethod = oneOf[spec.ResistanceMethod](t, spec.AC1kHz.Enum(), "method")
	}
	p.TemperatureDegC = maybe(t, between(-20, 60), "temperature")
	p.Cycles = maybe(t, rapid.IntRange(0, 2000), "cycles")
	p.MeasuredCapacityMAh = maybe(t, between(p.CapacityMAh*0.1, p.CapacityMAh*1.3), "measured")
	p.MassG = maybe(t, between(1, 5000), "mass")
	if rapid.Bool().Draw(t, "has lead") {
		p.MainLead = &spec.MainLead{
			WireAWG:              maybe(t, rapid.IntRange(0, 30), "gauge"),
			ConnectorMaxCurrentA: maybe(t, between(0.5, 100), "connector"),
		}
	}
	if rapid.IntRange(0, 9).Draw(t, "condition") == 0 {
		p.Condition = []spec.Condition{spec.Condition(rapid.SampledFrom(spec.Swollen.Enum()).Draw(t, "what"))}
	}
	return p
}

// drawCharger draws any charger that validation lets through.
func drawCharger(t *rapid.T) spec.Charger {
	c := spec.Charger{
		Chemistries:       []spec.Chemistry{spec.LiPo, spec.LiHV, spec.LiIon, spec.LiFePO4, spec.NiMH},
		CellsSeriesMin:    1,
		CellsSeriesMax:    rapid.IntRange(3, 14).Draw(t, "most cells"),
		MaxChargeCurrentA: rapid.OneOf(between(0.1, 20), rapid.SampledFrom([]float64{0.5, 1, 2, 6, 10})).Draw(t, "most current"),
		Balance:           spec.Balance(rapid.SampledFrom(spec.BalanceNone.Enum()).Draw(t, "balance")),
	}
	if rapid.Bool().Draw(t, "fixed") {
		c.MinChargeCurrentA = &c.MaxChargeCurrentA
	} else {
		c.MinChargeCurrentA = maybe(t, between(0, c.MaxChargeCurrentA), "least current")
		c.ChargeCurrentStepA = maybe(t, between(0.001, c.MaxChargeCurrentA), "step")
	}
	c.MaxChargePowerW = maybe(t, between(1, 400), "power")
	c.MaxTotalPowerW = maybe(t, between(1, 800), "total power")
	c.BalanceCurrentA = maybe(t, between(0.01, 2), "bleed")
	c.CellCount = oneOf[spec.CellCount](t, spec.CellCountByPort.Enum(), "cell count")
	c.EndVoltageAdjustable = maybe(t, rapid.Bool(), "adjustable")
	c.SafetyTimer = maybe(t, rapid.Bool(), "timer")
	if rapid.Bool().Draw(t, "has supply") {
		c.Supply = &spec.Supply{PowerW: maybe(t, between(5, 500), "supply"), EfficiencyPercent: maybe(t, between(40, 100), "efficiency")}
	}
	return c
}

// drawRequest draws any request that validation lets through.
func drawRequest(t *rapid.T) *charge.Request {
	if rapid.Bool().Draw(t, "sane") {
		q := drawSane(t)
		if rapid.IntRange(0, 4).Draw(t, "board") == 0 {
			drawBoard(t, q)
		}
		return q
	}
	q := &charge.Request{Pack: drawPack(t), Charger: drawCharger(t)}
	switch rapid.IntRange(0, 3).Draw(t, "goal") {
	case 0:
		q.Goal = &spec.Goal{Pace: spec.Pace(rapid.SampledFrom(spec.Quick.Enum()).Draw(t, "pace"))}
	case 1:
		a := between(0.01, 20).Draw(t, "current")
		q.Goal = &spec.Goal{CurrentA: &a}
	case 2:
		m := between(5, 400).Draw(t, "ready in")
		q.Goal = &spec.Goal{ReadyInMin: &m}
	}
	if q.Pack.Chemistry.Lithium() {
		q.TargetCellVoltageV = maybe(t, between(3.2, 4.4), "target")
		q.TaperCRate = maybe(t, between(0.01, 0.2), "taper")
	}
	if rapid.Bool().Draw(t, "has surroundings") {
		q.Surroundings = &spec.Surroundings{
			AmbientDegC: maybe(t, between(-10, 50), "ambient"),
			Attended:    maybe(t, rapid.Bool(), "attended"),
		}
	}
	q.EnergyPricePerKWh = maybe(t, between(0, 2), "price")
	q.CurvePoints = rapid.SampledFrom([]int{0, 1, 2, 50}).Draw(t, "points")
	return q
}
