package charge

import (
	"math"
	"slices"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/spec"
)

// limits gathers every limit on the charge current and picks the current.
type limits struct {
	list []Limit
	rule.Charging

	heldBack   bool    // the charger's power is below what its smallest current needs
	step       float64 // the charger's step, 0 where its current is fixed
	fixed      bool
	efficiency float64 // of the charger
	endPackV   float64 // pack voltage at which power limits are taken
	ah         float64 // rated capacity
	goal       float64 // the current the goal asks for; +Inf for a deadline
	current    float64 // what to set; 0 where there is no such current
}

const (
	gentleC           = 0.5 // common practice: the gentle rate
	everydayC         = 1.0 // common practice: the everyday rate
	assumedStepA      = 0.1 // common practice: hobby chargers are set in tenths of an ampere
	assumedEfficiency = 0.85
)

// gather lists the limits in the order they are reported. Nothing is picked
// yet.
func (l *limits) gather(q *Request, m *cell.Model, f *rule.Facts, endCellV float64, worn bool, p *spec.Pen) {
	l.ah = f.Pack.CapacityMAh / 1000
	l.endPackV = endCellV * float64(f.Pack.CellsSeries)
	l.LabelA, l.LabelPrinted = rule.LabelCurrent(f)
	l.efficiency = efficiency(&q.Charger)
	l.chargerSteps(&q.Charger)
	l.addGoal(q, p)
	l.addLabel(f, p)
	l.add(LimitChargerCurrent, q.Charger.MaxChargeCurrentA, "the charger's largest current")
	l.addPower(&q.Charger, p)
	l.addLead(f, p)
	l.addTemperature(f, p)
	l.addCondition(f, m, worn)
	l.settleSafe()
}

// settleSafe finds what is safe whatever the charger can do.
func (l *limits) settleSafe() {
	l.SafeA = math.Inf(1)
	for i := range l.list {
		switch x := &l.list[i]; x.Name {
		case LimitPace, LimitRequested, LimitChargerCurrent, LimitChargerPower: // wishes, and what the charger sees to itself
		default:
			if x.CurrentA < l.SafeA {
				l.SafeA, l.SafeBecause = x.CurrentA, x.Because
			}
		}
	}
}

func (l *limits) add(name LimitName, a float64, because string) {
	l.list = append(l.list, Limit{Name: name, CurrentA: a, Because: because})
}

// least is the smallest of the limits that are wanted.
func (l *limits) least(want func(LimitName) bool) float64 {
	a := math.Inf(1)
	for i := range l.list {
		if want(l.list[i].Name) {
			a = min(a, l.list[i].CurrentA)
		}
	}
	return a
}

func (l *limits) chargerSteps(c *spec.Charger) {
	l.step = assumedStepA
	if c.ChargeCurrentStepA != nil {
		l.step = spec.Round9(*c.ChargeCurrentStepA)
	}
	l.SmallestA = l.step
	if m := c.MinChargeCurrentA; m != nil {
		l.fixed = *m == c.MaxChargeCurrentA
		l.SmallestA = *m
		if !l.fixed {
			// The smallest step at or above the charger's least current.
			l.SmallestA = max(l.stepAbove(*m), l.step)
		}
	}
	if l.SmallestA > c.MaxChargeCurrentA {
		// No step lies within the charger's range: its largest current is the
		// one setting it has.
		l.fixed, l.SmallestA = true, c.MaxChargeCurrentA
	}
	if !l.fixed {
		l.StepA = l.step
	}
}

func (l *limits) addGoal(q *Request, p *spec.Pen) {
	pace := spec.Everyday
	if g := q.Goal; g != nil {
		switch {
		case g.CurrentA != nil:
			l.goal = *g.CurrentA
			l.add(LimitRequested, l.goal, "the current asked for")
			return
		case g.ReadyInMin != nil:
			l.goal = math.Inf(1)
			l.DeadlineMin = *g.ReadyInMin
			return
		case g.Pace != "":
			pace = g.Pace
		}
	}
	switch pace {
	case spec.Gentle:
		l.goal = gentleC * l.ah
		l.add(LimitPace, l.goal, "the gentle pace: 0.5 C")
	case spec.Quick:
		l.goal = l.LabelA
		l.add(LimitPace, l.goal, "the quick pace: the label's limit")
	default:
		l.goal = everydayC * l.ah
		l.add(LimitPace, l.goal, p.S("the everyday pace: 1 C of ").N(l.ah).S(" Ah").End())
	}
}

func (l *limits) addLabel(f *rule.Facts, p *spec.Pen) {
	rate := l.LabelA / l.ah
	switch printed := f.Pack.MaxChargeCRate; {
	case printed == nil:
		l.add(LimitLabel, l.LabelA, p.S("no charge rate printed, so ").N(rate).S(" C for ").S(string(f.Chemistry.Name)).End())
	case !l.LabelPrinted:
		l.add(LimitLabel, l.LabelA, p.S("the printed ").N(*printed).S(" C is not credible, so ").N(rate).S(" C for ").S(string(f.Chemistry.Name)).End())
	case rate < *printed:
		l.add(LimitLabel, l.LabelA, p.S("the label prints ").N(*printed).S(" C; a nimh fast charge goes to ").N(rate).S(" C").End())
	default:
		l.add(LimitLabel, l.LabelA, p.S("the label's charge rate of ").N(rate).S(" C").End())
	}
}

func (l *limits) addPower(c *spec.Charger, p *spec.Pen) {
	w := math.Inf(1)
	if c.MaxChargePowerW != nil {
		w = *c.MaxChargePowerW
	}
	if c.MaxTotalPowerW != nil {
		w = min(w, *c.MaxTotalPowerW)
	}
	if !math.IsInf(w, 1) {
		l.PowerA = w / l.endPackV
		l.add(LimitChargerPower, l.PowerA, p.S("the charger's ").N(w).S(" W at ").N(l.endPackV).S(" V").End())
	}
	if s := c.Supply; s != nil && s.PowerW != nil {
		l.SupplyA = *s.PowerW * l.efficiency / l.endPackV
		l.add(LimitSupplyPower, l.SupplyA, p.S("the supply's ").N(*s.PowerW).S(" W at ").N(l.efficiency*100).S(" % efficiency and ").N(l.endPackV).S(" V").End())
	}
}

// efficiency is the share of the supply's power that reaches the pack.
func efficiency(c *spec.Charger) float64 {
	if c.Supply != nil && c.Supply.EfficiencyPercent != nil {
		return *c.Supply.EfficiencyPercent / 100
	}
	return assumedEfficiency
}

// powerW is the power at the pack's terminals that charger and supply allow.
func (l *limits) powerW() float64 {
	w := math.Inf(1)
	if l.PowerA > 0 {
		w = l.PowerA * l.endPackV
	}
	if l.SupplyA > 0 {
		w = min(w, l.SupplyA*l.endPackV)
	}
	return w
}

func (l *limits) addLead(f *rule.Facts, p *spec.Pen) {
	if f.Charger.Balance == spec.BalanceLeadOnly && f.Pack.Chemistry.Lithium() {
		l.add(LimitBalanceLead, rule.BalanceLeadA, "the charge current goes through the balance lead, which carries 3 A")
		return
	}
	lead := f.Pack.MainLead
	if lead == nil {
		return
	}
	if a := lead.ConnectorMaxCurrentA; a != nil {
		l.add(LimitConnector, *a, "the connector's rating")
	}
	if lead.WireAWG != nil {
		l.add(LimitWire, cell.WireCurrent(*lead.WireAWG), p.S("what ").I(*lead.WireAWG).S(" AWG wire carries for hours in still air").End())
	}
}

func (l *limits) addTemperature(f *rule.Facts, p *spec.Pen) {
	cold, hot, known := rule.Temperatures(f)
	if !known {
		return
	}
	rate, at := f.Chemistry.ZoneAt(cold).MostC, cold
	if r := f.Chemistry.ZoneAt(hot).MostC; r < rate {
		rate, at = r, hot
	}
	if !math.IsInf(rate, 1) {
		l.add(LimitTemperature, rate*l.ah, p.S("the reduced rate at ").N(at).S(" °C: ").N(rate).S(" C").End())
	}
}

func (l *limits) addCondition(f *rule.Facts, m *cell.Model, worn bool) {
	gentle := gentleC * min(l.ah, m.Coulomb.Expected/3600)
	switch {
	case f.Pack.Has(spec.UnknownHistory):
		l.add(LimitCondition, gentle, "a pack of unknown history is charged gently: 0.5 C")
	case worn:
		l.add(LimitCondition, gentle, "a worn pack is charged gently: 0.5 C of what it still holds")
	case rule.DeeplyDischarged(f):
		l.add(LimitCondition, gentle, "a pack with a deeply discharged cell is charged gently even after its recovery: 0.5 C")
	}
}

// snap is the largest current the charger can be set to that is not above a,
// or 0 where its smallest is.
func (l *limits) snap(a float64) float64 {
	if l.fixed {
		if l.SmallestA <= a*(1+1e-9) {
			return l.SmallestA
		}
		return 0
	}
	s := spec.Round9(math.Floor(a/l.step+1e-9) * l.step)
	switch {
	case s >= l.SmallestA:
		return s
	case a >= l.SmallestA:
		return l.SmallestA // parted by rounding only
	}
	return 0
}

// stepA is the current of the charger's step k, counted from 0 A.
func (l *limits) stepA(k int) float64 { return spec.Round9(float64(k) * l.step) }

// stepOf is the step that a current is, or is nearest to.
func (l *limits) stepOf(a float64) int { return int(a/l.step + 0.5) }

// stepAbove is the lowest step that is not below a.
func (l *limits) stepAbove(a float64) float64 {
	return spec.Round9(math.Ceil(a/l.step-1e-9) * l.step)
}

// choose picks the current from every limit gathered, before any deadline.
func (l *limits) choose(p *spec.Pen) {
	all := func(LimitName) bool { return true }
	notPower := func(n LimitName) bool { return n != LimitChargerPower && n != LimitSupplyPower }
	l.roundUpSmallPack(p)
	l.raisePace(p)
	l.WithoutPower = l.least(notPower)
	l.SupplyNeedW = l.least(func(n LimitName) bool { return n != LimitSupplyPower }) * l.endPackV / l.efficiency
	l.letPowerRule(notPower, p)
	l.current = l.snap(l.least(all))
}

// roundUpSmallPack replaces a pace of 1 C by the charger's next step where it
// is hardly above and everything else allows it.
func (l *limits) roundUpSmallPack(p *spec.Pen) {
	const smallAh = 1.0
	if l.fixed || l.ah >= smallAh || l.goal != everydayC*l.ah || len(l.list) == 0 || l.list[0].Name != LimitPace || !l.LabelPrinted {
		return
	}
	up := l.stepAbove(l.ah)
	if up <= l.ah || up > l.ah*(1+rule.SmallPackRounding) || up < l.SmallestA {
		return
	}
	if up > l.least(func(n LimitName) bool { return n != LimitPace }) {
		return
	}
	l.list[0] = Limit{
		Name: LimitSmallPackRounding, CurrentA: up,
		Because: p.S("1 C is ").N(l.ah).S(" A; the charger's next step is ").N(up).S(" A, within 6 % of it").End(),
	}
	l.goal = up
}

// raisePace lifts a pace below the charger's smallest current to it, where the
// pack allows that current: a pace is a wish, not a limit of safety. Whether it does
// is asked as the rule about it asks: parted by rounding only, it does.
func (l *limits) raisePace(p *spec.Pen) {
	if len(l.list) == 0 || l.list[0].Name != LimitPace || l.goal >= l.SmallestA || l.SmallestA > l.SafeA*(1+1e-9) {
		return
	}
	l.list[0].CurrentA = l.SmallestA
	l.list[0].Because = p.S(l.list[0].Because).S("; the charger gives no less than ").N(l.SmallestA).S(" A, which the pack allows").End()
}

// letPowerRule handles a charger whose power is below what its smallest
// current would need: it cannot be set lower, but it holds itself back, and
// the power-limited phase shows how.
func (l *limits) letPowerRule(notPower func(LimitName) bool, p *spec.Pen) {
	if l.SmallestA > l.least(notPower)*(1+1e-9) { // as the rules ask: parted by rounding only, it is not above
		return
	}
	for i := range l.list {
		x := &l.list[i]
		if x.Name == LimitChargerPower && x.CurrentA < l.SmallestA {
			x.CurrentA = l.SmallestA
			x.Because = p.S(x.Because).S(" is less than its smallest current, so it holds itself back").End()
			l.heldBack = true
		}
	}
}

// bind marks the one limit that set the current, and adds the charger's step.
func (l *limits) bind(p *spec.Pen) {
	because := ""
	if l.fixed {
		because = "the charger has one fixed current"
	} else {
		because = p.S("the charger is set in steps of ").N(l.step).S(" A").End()
	}
	l.add(LimitChargerStep, l.current, because)
	best := 0
	for i := range l.list {
		if l.list[i].CurrentA < l.list[best].CurrentA*(1-1e-9) {
			best = i
		}
	}
	for i := range l.list {
		if l.heldBack && l.list[i].Name == LimitChargerPower {
			best = i // what flows is less than the setting, by this
		}
	}
	l.list[best].Binding = true
}

// rounded is the list as it is answered.
func (l *limits) rounded() []Limit {
	out := slices.Clone(l.list)
	for i := range out {
		x := &out[i]
		a := spec.Round9(x.CurrentA)
		if a < l.current && x.CurrentA >= l.current*(1-1e-9) {
			a = l.current // parted by rounding only
		}
		x.CurrentA = a
	}
	return out
}
