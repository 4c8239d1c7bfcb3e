package transport

import (
	"slices"
	"strconv"
	"strings"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/spec"
)

// Checker answers transport checks. It is safe for concurrent use.
type Checker struct {
	cells  *cell.Table
	judge  *rule.Judge
	apart  float64 // percent by which figures of a label may differ
	limits limits
	newest spec.Date // the day from which the newest rule holds
}

// limits are those of the rules, in watt hours, by which a pack has its category.
type limits struct {
	passengerFree, passengerMost float64
	small, road                  float64
	cellSmall, cellRoad          float64
}

// NewChecker builds a Checker on the chemistries and the catalog of rules.
func NewChecker(cells *cell.Table, rules []rule.Rule) *Checker {
	c := &Checker{cells: cells, judge: rule.NewJudge(rule.Of(rules, rule.Moving))}
	for i := range rules {
		r := &rules[i]
		c.newest = max(c.newest, r.InForceFrom)
		switch r.ID {
		case "air-approval-needed":
			c.limits.passengerFree = r.Limit(0)
		case "air-forbidden-passenger":
			c.limits.passengerMost = r.Limit(0)
		case "shipped-over-small":
			c.limits.small = r.Limit(0)
		case "shipped-over-road-limit":
			c.limits.road = r.Limit(0)
		case "shipped-cell-over-small":
			c.limits.cellSmall, c.limits.cellRoad = r.Limit(0), r.Limit(1)
		case "moved-energy-contradicts":
			c.apart = r.Limit(0)
		}
	}
	return c
}

// Check answers a request that has passed spec.Validator. It never fails.
func (c *Checker) Check(q *Request) *Answer {
	a := &Answer{
		Packs: make([]PackResult, len(q.Packs)), Findings: []spec.Finding{}, NotEvaluated: []spec.NotEvaluated{},
		Assumed: []spec.Assumed{}, Versions: rule.Versions(),
	}
	installed := q.Installed
	if q.PackedWithEquipment {
		installed = new(bool) // beside its equipment is not in it
	}
	large := 0
	for i := range q.Packs {
		p, at := &q.Packs[i], "/packs/"+strconv.Itoa(i)
		e := c.energyOf(p, at, a)
		m := &rule.MovingFacts{
			Mode: q.Mode, Installed: installed, PackedWith: q.PackedWithEquipment,
			EnergyWh: e.most, LeastWh: e.least, CellWh: e.most / float64(p.CellsSeries),
		}
		if p.CellsParallel != nil {
			m.CellWh /= float64(*p.CellsParallel)
		}
		out := &a.Packs[i]
		if z, known := chargeOf(c.cells.Get(p.Chemistry), p); known {
			m.Most = &z.most
			out.ChargePercent, out.MostChargePercent = rounded(z.expected), rounded(z.most)
		}
		spare := installed != nil && !*installed && p.Chemistry.Lithium()
		if spare && over(e.most, c.limits.passengerFree) {
			large++
			m.LargeSpare = large
		}
		out.Index, out.ID, out.EnergyFrom = i, p.ID, e.from
		out.EnergyWh, out.CellEnergyWh = spec.Round9(e.most), spec.Round9(m.CellWh)
		out.Category = c.category(q.Mode, p, m)
		out.Verdict = c.judgePack(q, p, at, m, a)
		a.EnergyWh += e.most
	}
	a.EnergyWh = spec.Round9(a.EnergyWh)
	a.Category = strictest(a.Packs)
	slices.SortStableFunc(a.Findings, func(x, y spec.Finding) int { return y.Severity.Rank() - x.Severity.Rank() })
	a.Verdict = spec.VerdictOf(a.Findings)
	c.assumeDay(q, a)
	a.Cautions = cautions(q)
	return a
}

func rounded(x float64) *float64 {
	x = spec.Round9(x)
	return &x
}

// over leaves a limit to what is at it, but for rounding, as the rules do.
func over(x, limit float64) bool { return x > limit*(1+1e-9) }

// judgePack asks the rules about one pack, and adds what they say with pointers
// at it.
func (c *Checker) judgePack(q *Request, p *spec.Pack, at string, m *rule.MovingFacts, a *Answer) spec.Verdict {
	findings, missing := c.judge.Evaluate(&rule.Facts{
		Pack: p, AsOf: q.AsOf, Chemistries: c.cells, Chemistry: c.cells.Get(p.Chemistry), Moving: m,
	}, false)
	for i := range findings {
		f := findings[i]
		f.At = moved(f.At, at)
		a.Findings = append(a.Findings, f)
	}
	for i := range missing {
		a.lack(missing[i].Rule, moved(missing[i].Missing, at))
	}
	return spec.VerdictOf(findings)
}

// lack adds what a rule misses, once.
func (a *Answer) lack(id string, missing []string) {
	for i := range a.NotEvaluated {
		n := &a.NotEvaluated[i]
		if n.Rule != id {
			continue
		}
		for _, p := range missing {
			if !slices.Contains(n.Missing, p) {
				n.Missing = append(n.Missing, p)
			}
		}
		return
	}
	a.NotEvaluated = append(a.NotEvaluated, spec.NotEvaluated{Rule: id, Missing: missing})
}

// moved are pointers into a pack that stands in a list.
func moved(pointers []string, at string) []string {
	out := make([]string, len(pointers))
	for i, p := range pointers {
		if rest, into := strings.CutPrefix(p, "/pack"); into && (rest == "" || rest[0] == '/') {
			p = at + rest
		}
		out[i] = p
	}
	return out
}

// category is what the rules take a pack for.
func (c *Checker) category(mode spec.TransportMode, p *spec.Pack, m *rule.MovingFacts) Category {
	l := &c.limits
	switch {
	case !p.Chemistry.Lithium():
		return NotLithium
	case mode.Passenger() && !over(m.EnergyWh, l.passengerFree):
		return PassengerFree
	case mode.Passenger() && !over(m.EnergyWh, l.passengerMost):
		return PassengerAsk
	case mode.Passenger():
		return PassengerNever
	case !over(m.EnergyWh, l.small) && !over(m.CellWh, l.cellSmall):
		return SmallBattery
	case mode == spec.Road && !over(m.EnergyWh, l.road) && !over(m.CellWh, l.cellRoad):
		return SmallByRoad
	}
	return FullyRegulated
}

// strictest is the last category among the packs, in the order of the list.
func strictest(packs []PackResult) Category {
	order := Category("").Enum()
	worst := 0
	for i := range packs {
		worst = max(worst, slices.Index(order, string(packs[i].Category)))
	}
	return Category(order[worst])
}

// assumeDay says which rules were taken where the request gives no day and it
// matters.
func (c *Checker) assumeDay(q *Request, a *Answer) {
	if q.AsOf != "" || q.Mode != spec.AirCargo {
		return
	}
	a.Assumed = append(a.Assumed, spec.Assumed{
		Field: "/as_of", Value: string(c.newest), Why: "the day from which the newest rule known here holds; an earlier journey may be judged by fewer",
		Source: spec.Practice("without a day the strictest rules known are taken"),
	})
}

// cautions are what to see to whatever was found.
func cautions(q *Request) []string {
	list := []string{
		"The carrier's own rules and those of every country on the way decide, and either may be stricter: ask before you travel or ship.",
		"The rules for dangerous goods change every year: look whether a newer edition holds on the day.",
		"Protect every terminal against a short circuit: tape or cap the connectors, one pack to a bag.",
		"Carry packs in a metal box or a fire-resistant bag, out of the sun, and never charge them on the way.",
	}
	if slices.ContainsFunc(q.Packs, func(p spec.Pack) bool { return p.Chemistry.Lithium() }) {
		list = append(list,
			"Carry only packs whose cells and design passed the tests of section 38.3 of the UN Manual of Tests and Criteria; ask the maker for the test summary.",
			"Never carry or ship a recalled pack by air, whatever its condition.")
	}
	if slices.ContainsFunc(q.Packs, func(p spec.Pack) bool { return !p.Chemistry.Lithium() }) {
		list = append(list, "A nimh pack is not lithium: the limits on watt hours and charge do not apply to it, and its terminals are protected all the same.")
	}
	switch q.Mode {
	case spec.AirCarryOn, spec.AirChecked:
		list = append(list, "Airlines limit how many spare packs a passenger may carry, and packs for sale are not baggage.")
	case spec.AirCargo:
		list = append(list, "Only people who are trained in dangerous goods may offer packs for air cargo.")
	case spec.Road:
		list = append(list, "Tell the carrier that a package holds batteries; what you drive yourself for your own use is mostly exempt, and local law says how far.")
	}
	return list
}
