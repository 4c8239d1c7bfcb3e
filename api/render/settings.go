package render

import (
	"cmp"
	"slices"

	"github.com/wattkeel/wattkeel/service/spec"
)

// What the settings of a charge and of a discharge have in common.

// pack writes what the charger is told of the pack.
func (p *page) pack(c spec.Chemistry, cells int) {
	p.s("Chemistry: ").s(chemistry(c)).item()
	p.s("Cells: ").i(cells)
	if cells > 1 {
		p.s(" in series")
	}
	p.item()
}

// current writes the current to set, and the one to begin with, if there is one.
func (p *page) current(a, rate float64, recovery *float64) {
	if recovery != nil {
		p.s("Current to begin with: ").n(*recovery).s(" A, until no cell is deeply discharged any more; the steps say when").item()
		p.s("Current after that: ")
	} else {
		p.s("Current: ")
	}
	p.n(a).s(" A (").about(rate).s(" C)").item()
}

// voltage writes a voltage of the cells and of the pack.
func (p *page) voltage(ofCell, ofPack float64, cells int) {
	if cells > 1 {
		p.n(ofCell).s(" V a cell, ").n(ofPack).s(" V in all").item()
	} else {
		p.n(ofPack).s(" V").item()
	}
}

// cutoffs writes what ends it whatever the charger sees.
func (p *page) cutoffs(chargeMAh, minutes float64) {
	p.s("Charge cut-off: ").n(chargeMAh).s(" mAh").item()
	p.s("Time limit: ").n(minutes).s(" min")
	if minutes >= 60 {
		p.s(" (").clock(int(minutes)).s(")")
	}
	p.item()
}

// limit is one limit on the current of a charge or of a discharge.
type limit struct {
	currentA float64
	because  string
	binding  bool
}

// limits says which limit sets the current, and what the others would allow,
// the lowest first.
func (p *page) limits(list []limit) {
	p.heading("What limits the current")
	others := make([]*limit, 0, 16)
	for i := range list {
		if l := &list[i]; l.binding {
			p.s("The lowest limit decides. It is ").about(l.currentA).s(" A (").s(l.because).s(").")
		} else {
			others = append(others, l)
		}
	}
	slices.SortStableFunc(others, func(a, b *limit) int { return cmp.Compare(a.currentA, b.currentA) })
	if len(others) > 0 {
		p.s(" The others are:")
	}
	p.under()
	for _, l := range others {
		p.about(l.currentA).s(" A: ").s(l.because).item()
	}
}

// farApart is the spread in millivolts from which full cells are told to be
// apart: the last step of a plan asks for less.
const farApart = 10

// narrower says which measurement would narrow a range most.
func (p *page) narrower(drivers []spec.Driver) *page {
	if len(drivers) > 0 && drivers[0].Measure != "" {
		p.s(" To know it better: ").s(drivers[0].Measure).stop()
	}
	return p
}
