package transport

import (
	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/spec"
)

// charge is a state of charge in percent.
type charge struct{ expected, most float64 }

// chargeOf is the state of charge of a pack, and whether it is known. A percentage
// is taken as it is stated. A rested voltage tells the charge only within the
// uncertainty of its curve, and the fullest cell counts: in doubt the pack holds
// more.
func chargeOf(c *cell.Chemistry, p *spec.Pack) (charge, bool) {
	if p.ChargePercent != nil {
		return charge{*p.ChargePercent, *p.ChargePercent}, true
	}
	if c.Curve == nil || len(p.CellVoltagesV) == 0 && p.PackVoltageV == nil {
		return charge{}, false
	}
	volts := p.CellVoltagesV
	if p.PackVoltageV != nil {
		volts = []float64{*p.PackVoltageV / float64(p.CellsSeries)}
	}
	var out charge
	for _, v := range volts {
		out.expected += percent(c, v) / float64(len(volts))
		out.most = max(out.most, percent(c, v+c.CurveFrom.Value))
	}
	return out, true
}

func percent(c *cell.Chemistry, v float64) float64 {
	return min(max(c.Curve.Charge(v), 0), 1) * 100
}
