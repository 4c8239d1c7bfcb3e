package label

import (
	"cmp"
	"slices"
	"sync"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/spec"
)

// The most that an answer lists.
const (
	mostRead           = 64
	mostUnread         = 64
	mostContradictions = 32
)

// Reader reads labels. It is safe for concurrent use.
type Reader struct {
	cells   *cell.Table
	words   map[string]meaning
	phrases map[string]phrase
	begins  [256]bool // whether a phrase begins with a letter
	size    [otherUnit]size
	judges  map[string]*rule.Judge
	pages   sync.Pool

	tolerance, better       float64 // percent a nominal voltage may be off, and by how much a better fit must be better
	rounding                float64 // percent by which a printed current may differ from a printed rate
	smallestMAh, largestMAh float64
}

// NewReader builds a Reader on the chemistries and the catalog of rules.
func NewReader(cells *cell.Table, rules []rule.Rule) *Reader {
	r := &Reader{cells: cells, words: lexicon(), phrases: phrases(), judges: map[string]*rule.Judge{}, better: rule.ClearlyBetter}
	for i := range rules {
		one := rules[i]
		switch one.ID {
		case "label-voltage-contradicts-cells":
			r.tolerance = one.Limit(0)
		case "label-energy-contradicts":
			r.rounding = one.Limit(0)
		case "capacity-unit-suspect":
			r.smallestMAh = one.Limit(0)
		case "burst-below-continuous", "charge-rate-unusual", "charge-rate-is-discharge-rate":
		default:
			continue
		}
		r.judges[one.ID] = rule.NewJudge([]rule.Rule{one})
	}
	for name := range r.phrases {
		r.begins[name[0]] = true
	}
	for _, c := range rule.Constants() {
		if c.Name == "largest_mah" {
			r.largestMAh = c.Value
		}
	}
	r.size = r.sizes()
	r.pages.New = func() any { return &page{r: r} }
	return r
}

// Read answers a request that has passed spec.Validator. It never fails.
func (r *Reader) Read(q *Request) *Answer {
	p := r.pages.Get().(*page)
	defer r.close(p)
	p.scan(q.Text)
	p.nameChemistries()
	p.markOdd()
	p.measure()
	p.assignRoles()
	p.claimValues()
	p.decideChemistry()
	p.judge()
	return p.answer()
}

// close gives a page back empty: it must not keep a request alive, nor show it
// to the next.
func (r *Reader) close(p *page) {
	p.clear()
	r.pages.Put(p)
}

// nearest is the nominal cell voltage of a chemistry that comes closest to a
// printed pack voltage, and by how many percent they differ.
func (r *Reader) nearest(c spec.Chemistry, v float64, cells int) (cellV, off float64) {
	return rule.NearestNominal(r.cells.Get(c), v, cells)
}

// fitting lists the chemistries whose nominal voltage a pack of some cells has.
func (r *Reader) fitting(v float64, cells int) []spec.Chemistry {
	var fit []spec.Chemistry
	for _, c := range r.cells.All() {
		if _, off := rule.NearestNominal(c, v, cells); off <= r.tolerance {
			fit = append(fit, c.Name)
		}
	}
	return fit
}

func (r *Reader) rateInRange(f field, x float64) bool {
	most := 1000.0 // what a request may hold
	switch f {
	case chargeField:
		most = 100
	case burstField:
		most = 2000
	}
	return x >= 0.01 && x <= most
}

// memory is an answer with the numbers it points at, so that both are one piece.
type memory struct {
	Answer
	number [energyField - capacityField + 1]float64
	count  [parallelField - seriesField + 1]int
	lead   Lead
}

// answer assembles what was found.
func (p *page) answer() *Answer {
	m := &memory{Answer: Answer{Contradictions: p.found, Unread: p.unread, Versions: rule.Versions()}}
	a := &m.Answer
	p.fill(m)
	a.Read, a.Missing = p.readings(), p.missing()
	for i := range a.Contradictions {
		if c := &a.Contradictions[i]; c.Kind == AmbiguousNumber {
			c.Fields = slices.DeleteFunc(c.Fields, p.standsInPack) // another piece says it
		}
	}
	if a.Contradictions == nil {
		a.Contradictions = []Contradiction{}
	}
	if a.Unread == nil {
		a.Unread = []Unread{}
	}
	slices.SortStableFunc(a.Unread, func(x, y Unread) int { return x.Start - y.Start })
	return a
}

func (p *page) standsInPack(at string) bool {
	for f := chemistryField; f < fieldCount; f++ {
		if pointer(f) == at {
			return p.chosenClaim(f) != nil
		}
	}
	return false
}

// fill puts into the pack what was read and is not contradicted.
func (p *page) fill(m *memory) {
	number := func(f field) *float64 {
		if p.chosenClaim(f) == nil {
			return nil
		}
		x := &m.number[f-capacityField]
		*x = spec.Round9(p.value(f))
		return x
	}
	count := func(f field) *int {
		if p.chosenClaim(f) == nil {
			return nil
		}
		n := &m.count[f-seriesField]
		*n = int(p.value(f))
		return n
	}
	m.Pack = Pack{
		Chemistry: p.chemistry(), CellsSeries: count(seriesField), CellsParallel: count(parallelField), CapacityMAh: number(capacityField),
		MaxChargeCRate: number(chargeField), MaxDischargeCRate: number(dischargeField), BurstDischargeCRate: number(burstField),
		MassG: number(massField), NominalVoltageV: number(voltageField), EnergyWh: number(energyField),
	}
	if p.chosenClaim(gaugeField) != nil {
		m.lead.WireAWG = int(p.value(gaugeField))
		m.Pack.MainLead = &m.lead
	}
}

// readings lists the claims in the order of the text.
func (p *page) readings() []Reading {
	for i := range p.claims {
		if c := &p.claims[i]; (!c.amps || c.because != "") && c.field != fieldCount {
			p.order = append(p.order, i)
		}
	}
	slices.SortFunc(p.order, func(i, k int) int {
		a, b := &p.claims[i], &p.claims[k]
		return cmp.Or(a.start-b.start, a.end-b.end, i-k)
	})
	out := make([]Reading, min(len(p.order), mostRead))
	for n := range out {
		c, r := &p.claims[p.order[n]], &out[n]
		r.Field, r.How, r.Because, r.InPack = pointer(c.field), Printed, c.because, p.chosenClaim(c.field) == c
		r.Text, r.Start, r.End = p.piece(c.start, c.end), c.start, c.end
		if c.chemistry != "" {
			r.Value = string(c.chemistry)
		} else {
			r.Value = spec.Round9(c.value)
		}
		if c.because != "" {
			r.How = Derived
		}
	}
	return out
}
