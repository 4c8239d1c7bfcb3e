package transport

import (
	"strconv"

	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/spec"
)

// energy is the rated energy of a pack in watt hours: rated amp hours times
// nominal volts (49 CFR 171.8), as the label prints them. Where its figures
// differ the largest counts, and least is the smallest.
type energy struct {
	most, least float64
	from        EnergyFrom
}

func (e *energy) add(wh float64, from EnergyFrom) {
	if e.from == "" || wh > e.most {
		e.most, e.from = wh, from
	}
	if e.least == 0 || wh < e.least {
		e.least = wh
	}
}

// energyOf works the energy out. Where the label prints neither watt hours nor
// volts, it takes the highest nominal voltage that labels print for the
// chemistry, so that the energy is not too low, and says so.
func (c *Checker) energyOf(p *spec.Pack, at string, a *Answer) energy {
	var e energy
	ah := p.CapacityMAh / 1000
	if p.EnergyWh != nil {
		e.add(*p.EnergyWh, PrintedEnergy)
	}
	if p.NominalVoltageV != nil {
		e.add(*p.NominalVoltageV*ah, PrintedVoltage)
	}
	chemistry := c.cells.Get(p.Chemistry)
	if e.from != "" {
		// What cells and chemistry make counts only where it contradicts the
		// label: its rounding is no reason to judge another energy.
		cellV, off := rule.NearestNominal(chemistry, e.most/ah, p.CellsSeries)
		if off > c.apart {
			e.add(cellV*float64(p.CellsSeries)*ah, ChemistryNominal)
		}
		return e
	}
	nominal := chemistry.NominalV
	for _, alt := range chemistry.NominalAltV {
		if alt.Value > nominal.Value {
			nominal = alt
		}
	}
	v := nominal.Value * float64(p.CellsSeries)
	e.add(v*ah, ChemistryNominal)
	a.Assumed = append(a.Assumed, spec.Assumed{
		Field: at + "/nominal_voltage_v", Value: spec.Round9(v),
		Why: strconv.Itoa(p.CellsSeries) + " cells of " + spec.Plain(nominal.Value) + " V, the highest nominal voltage that labels print for " + string(p.Chemistry), Source: nominal.Source,
	})
	return e
}
