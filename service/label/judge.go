package label

import (
	"fmt"
	"math"
	"slices"

	"github.com/wattkeel/wattkeel/service/spec"
)

// mostCells is the largest number of cells in series a pack may have.
const mostCells = 32

// judge finds what the label says against itself, and takes the values involved
// out of the pack.
func (p *page) judge() {
	p.judgeVoltage()
	p.deriveRates()
	judged := p.document()
	pack := &p.pack
	p.judgeEnergy(judged.energy)
	if pack.CapacityMAh > 0 && !judged.energy {
		p.judgeEnergyAlone(pack.CapacityMAh)
	}
	p.byRule(judged.capacity, "capacity-unit-suspect", CapacityAgainst, capacityField)
	p.byRule(pack.BurstDischargeCRate != nil && pack.MaxDischargeCRate != nil, "burst-below-continuous", BurstAgainst, dischargeField, burstField)
	p.byRule(pack.MaxChargeCRate != nil && pack.Chemistry != "", "charge-rate-unusual", ChargeAgainst, chargeField)
	p.byRule(pack.MaxChargeCRate != nil && pack.MaxDischargeCRate != nil, "charge-rate-is-discharge-rate", ChargeAgainst, chargeField, dischargeField)
	p.judgeCharge()
	p.settleDerived()
}

// judgeVoltage holds the nominal voltage against chemistry and cell count, and
// derives the count where the label does not print it.
func (p *page) judgeVoltage() {
	v, n, c := p.value(voltageField), int(p.value(seriesField)), p.chemistry()
	switch {
	case v == 0 || p.refuted[seriesField]:
	case n > 0 && c != "":
		p.numbers[voltageField] = v
		p.pack = spec.Pack{Chemistry: c, CellsSeries: n, NominalVoltageV: &p.numbers[voltageField]}
		if !p.byRule(true, "label-voltage-contradicts-cells", VoltageAgainst, chemistryField, seriesField, voltageField) {
			p.fitsAnother(v, n, c)
		}
	case n > 0:
		if len(p.r.fitting(v, n)) == 0 {
			p.against(VoltageAgainst, fmt.Sprintf("%s V over %d cells is %s V a cell, the nominal voltage of no chemistry known here", spec.Plain(v), n, spec.Short3(v/float64(n))),
				"count the cells (a balance lead has one wire more than cells) and read the voltage again", seriesField, voltageField)
		}
	case c != "":
		p.deriveCells(v, c)
	}
}

// fitsAnother names a voltage that is within what the rule allows, and clearly
// that of another chemistry, one that is full at a higher voltage.
func (p *page) fitsAnother(v float64, n int, c spec.Chemistry) {
	_, own := p.r.nearest(c, v, n)
	full := p.r.cells.Get(c).FullV.Value
	for _, other := range p.r.cells.All() {
		if _, off := p.r.nearest(other.Name, v, n); other.FullV.Value > full && off < own-p.r.better {
			p.against(VoltageAgainst, fmt.Sprintf("the label says %s, but %s V over %d cells is the nominal voltage of %s", c, spec.Plain(v), n, other.Name),
				"look for the voltage of a full cell on the label; until it is found, charge by the chemistry with the lower one", chemistryField, seriesField, voltageField)
			return
		}
	}
}

// deriveCells takes the cell count from the voltage where exactly one fits.
func (p *page) deriveCells(v float64, c spec.Chemistry) {
	var fit []int
	for n := 1; n <= mostCells; n++ {
		if _, off := p.r.nearest(c, v, n); off <= p.r.tolerance {
			fit = append(fit, n)
		}
	}
	switch len(fit) {
	case 0:
		p.against(VoltageAgainst, fmt.Sprintf("%s V is the nominal voltage of no number of %s cells", spec.Plain(v), c),
			"read chemistry and nominal voltage again, and count the cells (a balance lead has one wire more than cells)", chemistryField, voltageField)
	case 1:
		from := p.chosenClaim(voltageField)
		cellV, _ := p.r.nearest(c, v, fit[0])
		cells := "cells"
		if fit[0] == 1 {
			cells = "cell"
		}
		p.claims = append(p.claims, claim{
			field: seriesField, value: float64(fit[0]), start: from.start, end: from.end,
			because: fmt.Sprintf("the label prints no cell count; %s V is %d %s %s of %s V, and no other number fits", spec.Plain(v), fit[0], c, cells, spec.Plain(cellV)),
		})
		p.chosen[seriesField] = len(p.claims)
	}
}

// deriveRates turns currents into rates by the capacity. A current that says
// what a printed rate says is left aside.
func (p *page) deriveRates() {
	mAh := p.value(capacityField)
	for i := range p.claims {
		c := &p.claims[i]
		if !c.amps {
			continue
		}
		if mAh == 0 {
			p.skip(c.start, c.end, "a current is a rate only with the capacity, which could not be read")
			continue
		}
		current := c.value
		c.value = spec.Round9(current * 1000 / mAh)
		c.because = fmt.Sprintf("%s A over %s Ah", spec.Plain(current), spec.Plain(mAh/1000))
		printed := p.chosenClaim(c.field)
		switch {
		case !p.r.rateInRange(c.field, c.value):
			p.skip(c.start, c.end, "the current is out of range for the capacity")
			c.field = fieldCount
		case p.refuted[c.field]:
		case printed == nil:
			p.chosen[c.field] = i + 1
		case apart(c.value, printed.value) > p.r.rounding:
			p.differ(c.field, []int{p.chosen[c.field] - 1, i})
		}
	}
}

// apart is by how many percent two values differ.
func apart(a, b float64) float64 { return (max(a, b)/min(a, b) - 1) * 100 }

// settleDerived takes out what was derived from a value that is now refuted.
func (p *page) settleDerived() {
	for f := chemistryField; f < fieldCount; f++ {
		c := p.chosenClaim(f)
		if c == nil || c.because == "" {
			continue
		}
		if f == seriesField && (p.refuted[voltageField] || p.refuted[chemistryField]) || f != seriesField && p.refuted[capacityField] {
			p.chosen[f] = 0
		}
	}
}

// judgeEnergyAlone holds watt hours against the capacity where the voltage is in
// doubt or not printed: one of the voltages that the label speaks of must fit,
// or a whole number of cells, or at least some pack.
func (p *page) judgeEnergyAlone(mAh float64) {
	wh := p.value(energyField)
	if wh == 0 {
		return
	}
	implied := wh * 1000 / mAh
	near := func(v float64) bool { return apart(implied, v) <= p.r.rounding }
	said, fits := false, false
	for i := range p.claims {
		c := &p.claims[i]
		if c.field == voltageField {
			said, fits = true, fits || near(c.value)
		}
		if c.field == seriesField {
			for _, of := range p.r.cells.All() {
				v, _ := p.r.nearest(of.Name, implied, int(c.value))
				said, fits = true, fits || near(v*c.value)
			}
		}
	}
	if c := p.chemistry(); !said && c != "" {
		n := max(1, int(math.Round(implied/p.r.cells.Get(c).NominalV.Value)))
		v, _ := p.r.nearest(c, implied, n)
		said, fits = true, n <= mostCells && near(v*float64(n))
	}
	if !said {
		const leastV, mostV = 1.1, 192 // one nimh cell, and what a request may hold
		fits = implied >= leastV && implied <= mostV
	}
	if !fits {
		p.against(EnergyAgainst, fmt.Sprintf("%s Wh over %s mAh is %s V, which is no voltage that the rest of the label allows", spec.Plain(wh), spec.Plain(mAh), spec.Short(implied)),
			"read capacity and watt hours again: one of them may be ten or a thousand times off", capacityField, energyField)
	}
}

// judgeEnergy holds watt hours against volts times amp hours. A voltage that fits
// chemistry and cell count is not in doubt where they differ.
func (p *page) judgeEnergy(can bool) {
	const id = "label-energy-contradicts"
	if p.value(voltageField) != 0 && (p.value(seriesField) == 0 || p.chemistry() == "") {
		p.byRule(can, id, EnergyAgainst, capacityField, energyField, voltageField)
	} else {
		p.byRule(can, id, EnergyAgainst, capacityField, energyField)
	}
}

// judgeable says which rules have all that they look at.
type judgeable struct{ energy, capacity bool }

// document is what was read, as the rules look at it.
func (p *page) document() (can judgeable) {
	optional := func(f field) *float64 {
		if p.numbers[f] = p.value(f); p.numbers[f] != 0 {
			return &p.numbers[f]
		}
		return nil
	}
	pack := &p.pack
	*pack = spec.Pack{
		Chemistry: p.chemistry(), CellsSeries: int(p.value(seriesField)), CapacityMAh: p.value(capacityField),
		MaxChargeCRate: optional(chargeField), MaxDischargeCRate: optional(dischargeField), BurstDischargeCRate: optional(burstField),
		NominalVoltageV: optional(voltageField), EnergyWh: optional(energyField), MassG: optional(massField),
	}
	whole := pack.Chemistry != "" && pack.CellsSeries > 0
	can.capacity = pack.CapacityMAh > 0
	if pack.NominalVoltageV == nil && !whole {
		pack.EnergyWh = nil
	}
	if !whole {
		pack.MassG = nil
	}
	can.energy = can.capacity && pack.EnergyWh != nil
	return can
}

// byRule lets a rule judge what was read. What it finds is a contradiction.
func (p *page) byRule(can bool, id string, kind Kind, fields ...field) bool {
	if !can {
		return false
	}
	p.facts.Pack, p.facts.Chemistries, p.facts.Chemistry = &p.pack, p.r.cells, p.r.cells.Get(p.pack.Chemistry)
	findings, _ := p.r.judges[id].Evaluate(&p.facts, false)
	for i := range findings {
		f := &findings[i]
		if kind == CapacityAgainst {
			fields = pointed(f.At, fields)
		}
		p.against(kind, f.Message, f.Remedy, fields...)
		p.found[len(p.found)-1].Rule = f.Rule
	}
	return len(findings) > 0
}

// pointed adds the fields that a finding points at.
func pointed(at []string, fields []field) []field {
	for f := chemistryField; f < fieldCount; f++ {
		if slices.Contains(at, pointer(f)) && !slices.Contains(fields, f) {
			fields = append(fields, f)
		}
	}
	return fields
}

// against names a contradiction between the chosen values of some fields, and
// takes them out of the pack.
func (p *page) against(kind Kind, message, check string, fields ...field) {
	var claims []int
	for _, f := range fields {
		if i := p.chosen[f]; i != 0 {
			claims = append(claims, i-1)
		}
	}
	slices.SortFunc(claims, func(a, b int) int { return p.claims[a].start - p.claims[b].start })
	for _, f := range fields {
		p.refuted[f] = true
	}
	p.contradict(Contradiction{Kind: kind, Message: message, Fields: pointers(fields...), Pieces: p.pieces(claims), Check: check})
}

func (p *page) contradict(c Contradiction) {
	if c.Pieces == nil {
		c.Pieces = []Piece{}
	}
	if len(p.found) < mostContradictions {
		p.found = append(p.found, c)
	}
}
