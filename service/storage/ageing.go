package storage

import (
	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/spec"
)

// ageing compares what is lost for good as the pack stands and at storage charge.
func (w *work) ageing() {
	if w.chem.Curve == nil {
		return
	}
	degC := w.model.Thermal.AmbientDegC
	w.sheet.ageing = Ageing{
		IdleDays: spec.Round9(w.days), AmbientDegC: spec.Round9(degC),
		AsItStands: w.loss(w.extreme(highest), degC), AtStorageCharge: w.loss(w.band.target, degC),
		Says: ageingSays(w.chem.Name), Source: w.pl.aged,
	}
	w.plan.Ageing = &w.sheet.ageing
}

// ageingCurve is the curve that a state of charge is turned into a voltage by: the
// chemistry's own where its voltages mean what those of the cells that were
// studied do, else that of those cells.
func (w *work) ageingCurve() *cell.Curve {
	if w.chem.Name == spec.LiFePO4 {
		return w.pl.cells.Get(spec.LiIon).Curve
	}
	return w.chem.Curve
}

func (w *work) loss(z, degC float64) Loss {
	v := max(w.ageingCurve().Voltage(z), 0)
	x := cell.CalendarLoss(v, degC, w.days) * 100
	low, high := cell.AgeingRange(w.chem.Name)
	return Loss{
		CellVoltageV: spec.Round9(v), ExpectedPercent: spec.Round9(x),
		LowPercent: spec.Round9(x * low), HighPercent: spec.Round9(min(x*high, 100)),
	}
}

func ageingSays(c spec.Chemistry) string {
	const trust = " Compare the two figures rather than trust either: both come from one published study, and a full cell at room temperature lies outside what it measured."
	switch c {
	case spec.LiIon:
		return "Cells of this kind were studied; others of the kind lose from half to twice as much." + trust
	case spec.LiFePO4:
		return "Nickel-manganese-cobalt cells were studied, at the same state of charge; iron phosphate cells usually lose less, from a third to three times as much." + trust
	}
	return "Nickel-manganese-cobalt cells were studied, at the same voltage; cobalt-oxide pouches lose from a third to three times as much." + trust
}
