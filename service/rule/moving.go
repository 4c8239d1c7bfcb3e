package rule

import (
	"fmt"
	"strconv"

	"github.com/wattkeel/wattkeel/service/spec"
)

// MovingFacts is what a question about moving packs has worked out for one of
// them.
type MovingFacts struct {
	Mode       spec.TransportMode
	Installed  *bool // in equipment, or a spare; nil where nobody says
	PackedWith bool  // beside its equipment, in one package with it
	EnergyWh   float64
	LeastWh    float64  // the least that the label's own figures make; EnergyWh is the most
	CellWh     float64  // of a single cell; of a series group where nobody says how many cells are in it
	Most       *float64 // the highest charge that is likely, in percent; nil where it is not known
	LargeSpare int      // counts the spares over 100 Wh up to this pack, this one included; 0 for any other
}

// The limits of the passenger rules, in watt hours; what is at a limit is within
// it.
const (
	passengerFreeWh = 100.0
	passengerMostWh = 160.0
)

// movingRules judge carrying and shipping packs.
func movingRules() []Rule {
	return []Rule{
		airForbidden(), spareInChecked(), largeSparesTooMany(), airDamaged(), cargoCharge(), cargoChargePackedWith(),
		energyContradicts(), roadDamaged(), overRoadLimit(), cellOverSmall(), airApproval(), cargoAircraftOnly(), overSmall(),
	}
}

// by restricts a rule to lithium packs that travel in one of some modes.
func by(modes ...spec.TransportMode) func(f *Facts) bool {
	return func(f *Facts) bool {
		if f.Moving == nil || !lithium(f) {
			return false
		}
		for _, m := range modes {
			if f.Moving.Mode == m {
				return true
			}
		}
		return false
	}
}

func installedGiven() Input {
	return needs(func(f *Facts) bool { return f.Moving.Installed != nil }, "/installed")
}

// spare reports whether the pack travels outside its equipment.
func (m *MovingFacts) spare() bool { return m.Installed != nil && !*m.Installed }

func passengerPage(clause string) spec.Source {
	return spec.Source{Kind: spec.Guidance, Title: "The U.S. aviation regulator's page for passengers, lithium batteries", Clause: clause, Standing: spec.Read}
}

func smallBattery(clause string) spec.Source {
	return spec.Source{Kind: spec.Regulation, Title: "49 CFR 173.185(c)(1)", Clause: clause, Standing: spec.Read}
}

func cargoRule(clause string) spec.Source {
	return spec.Source{Kind: spec.Regulation, Title: "84 FR 8006 and 87 FR 77995 (HM-224I)", Clause: clause, Year: 2022, Standing: spec.Read}
}

func damagedRule() spec.Source {
	return spec.Source{Kind: spec.Regulation, Title: "49 CFR 173.185(f)", Clause: "damaged, defective or recalled lithium batteries: not by air, and in packaging of their own by road", Standing: spec.FromMemory}
}

func airApproval() Rule {
	return Rule{
		ID: "air-approval-needed", Family: Moving, Since: "0.2.0", Levels: []Level{from(spec.Note, passengerFreeWh, "wh")},
		Title:     "The airline must approve the pack",
		Rationale: "Up to 100 Wh a lithium pack flies with its passenger without asking; from there to 160 Wh only with the airline's approval.",
		Remedy:    "ask the airline before the day of travel, and carry its approval in writing",
		Source:    passengerPage("with airline approval, passengers may carry up to 2 spare larger lithium ion batteries (101-160 Wh)"),
		Applies:   by(spec.AirCarryOn, spec.AirChecked),
		Check: func(f *Facts, out *Out) {
			if wh := f.Moving.EnergyWh; beyond(wh, out.Limit(0)) && !beyond(wh, passengerMostWh) {
				out.Hit(0, wh, out.Limit(0), fmt.Sprintf("the pack holds %s Wh, over %s Wh", spec.Beside(wh, out.Limit(0)), spec.Plain(out.Limit(0))), "/pack")
			}
		},
	}
}

func airForbidden() Rule {
	return Rule{
		ID: "air-forbidden-passenger", Family: Moving, Since: "0.2.0", Levels: []Level{from(spec.Stop, passengerMostWh, "wh")},
		Title:     "The pack is too large to fly with a passenger",
		Rationale: "Over 160 Wh a lithium pack may not travel in cabin or checked baggage, in equipment or out of it, and no airline can approve it.",
		Remedy:    "leave it at home, or have it shipped as cargo by somebody who is trained in dangerous goods",
		Source:    spec.Source{Kind: spec.Regulation, Title: "49 CFR 175.10(a)(18)", Clause: "lithium ion batteries over 160 Wh are not among what a passenger may carry", Standing: spec.FromMemory},
		Applies:   by(spec.AirCarryOn, spec.AirChecked),
		Check: func(f *Facts, out *Out) {
			if wh := f.Moving.EnergyWh; beyond(wh, out.Limit(0)) {
				out.Hit(0, wh, out.Limit(0), fmt.Sprintf("the pack holds %s Wh, over %s Wh", spec.Beside(wh, out.Limit(0)), spec.Plain(out.Limit(0))), "/pack")
			}
		},
	}
}

func spareInChecked() Rule {
	return Rule{
		ID: "spare-in-checked-baggage", Family: Moving, Since: "0.2.0", Levels: []Level{at(spec.Stop)},
		Title:     "A spare lithium pack is in checked baggage",
		Rationale: "Nobody sees a pack that catches fire in the hold. In the cabin the crew can put it out.",
		Remedy:    "carry it in the cabin, each terminal covered",
		Source:    spec.Source{Kind: spec.Guidance, Title: "TSA, lithium batteries with 100 watt hours or less in a device", Clause: "spare batteries in carry-on baggage only", Standing: spec.Read},
		Needs:     []Input{installedGiven()},
		Applies:   by(spec.AirChecked),
		Check: func(f *Facts, out *Out) {
			if f.Moving.spare() {
				out.Say(0, "the pack is a spare, and it is to go in checked baggage", "/pack", "/mode", "/installed")
			}
		},
	}
}

func largeSparesTooMany() Rule {
	const most = 2
	return Rule{
		ID: "large-spares-too-many", Family: Moving, Since: "0.2.0", Levels: []Level{at(spec.Stop)},
		Title:     "There are too many large spare packs",
		Rationale: "Of spare packs over 100 Wh a passenger may carry two, and those only with the airline's approval.",
		Remedy:    "leave all but two at home, or share them among travelers who each have the airline's approval",
		Source:    passengerPage("with airline approval, passengers may carry up to 2 spare larger lithium ion batteries (101-160 Wh)"),
		Needs:     []Input{installedGiven()},
		Applies: func(f *Facts) bool {
			return by(spec.AirCarryOn)(f) && beyond(f.Moving.EnergyWh, passengerFreeWh)
		},
		Check: func(f *Facts, out *Out) {
			if n := f.Moving.LargeSpare; n > most {
				out.Say(0, fmt.Sprintf("the pack is spare number %d over %s Wh, and %d are allowed", n, spec.Plain(passengerFreeWh), most), "/pack", "/installed")
			}
		},
	}
}

// damage is the first condition of the pack that is damage, and where it stands.
func damage(p *spec.Pack) (c spec.Condition, where string) {
	for i, x := range p.Condition {
		if x != spec.UnknownHistory {
			return x, "/pack/condition/" + strconv.Itoa(i)
		}
	}
	return "", ""
}

func airDamaged() Rule {
	return Rule{
		ID: "air-damaged-forbidden", Family: Moving, Since: "0.2.0",
		Levels:    []Level{at(spec.Caution).remedy("look at it closely, and leave it at home unless you are sure that it is sound and not recalled"), at(spec.Stop)},
		Title:     "A pack that may be damaged is to fly",
		Rationale: "A damaged or recalled pack can catch fire on the way, and a fire in flight cannot be left behind. It flies in no way at all.",
		Remedy:    "do not take it on board and do not ship it by air; take it to a recycling point by road",
		Source:    damagedRule(),
		Needs:     []Input{conditionGiven()},
		Applies:   func(f *Facts) bool { return f.Moving != nil && f.Moving.Mode.Air() },
		Check: func(f *Facts, out *Out) {
			if c, where := damage(f.Pack); c != "" {
				out.Say(1, fmt.Sprintf("condition lists %s, and no damaged pack may fly", c), where)
			} else if len(f.Pack.Condition) > 0 {
				out.Say(0, fmt.Sprintf("condition lists %s, so nobody knows whether it is damaged or recalled", f.Pack.Condition[0]), "/pack/condition/0")
			}
		},
	}
}

func roadDamaged() Rule {
	return Rule{
		ID: "road-damaged-apart", Family: Moving, Since: "0.2.0", Levels: []Level{at(spec.Caution)},
		Title:     "A damaged pack travels by road",
		Rationale: "A damaged pack can catch fire hours later. It is carried alone, and shipped only in packaging made for such packs.",
		Remedy:    "drive it yourself, outside the cabin if you can, in a metal box or a bucket of dry sand with its terminals covered; to ship it, ask somebody who is trained in dangerous goods",
		Source:    damagedRule(),
		Needs:     []Input{conditionGiven()},
		Applies:   func(f *Facts) bool { return f.Moving != nil && f.Moving.Mode == spec.Road },
		Check: func(f *Facts, out *Out) {
			if c, where := damage(f.Pack); c != "" {
				out.Say(0, fmt.Sprintf("condition lists %s", c), where)
			}
		},
	}
}

// chargeAt is where the state of charge was given.
func chargeAt(p *spec.Pack) string {
	switch {
	case p.ChargePercent != nil:
		return "/pack/charge_percent"
	case p.PackVoltageV != nil:
		return "/pack/pack_voltage_v"
	}
	return "/pack/cell_voltages_v"
}

// overCharge judges the highest likely charge: in doubt the pack holds too much.
func overCharge(f *Facts, out *Out, level int) {
	most := *f.Moving.Most
	if !beyond(most, out.Limit(level)) {
		return
	}
	holds := "holds"
	if f.Pack.ChargePercent == nil {
		holds = "may hold up to"
	}
	out.Hit(level, most, out.Limit(level), fmt.Sprintf("the pack %s %s %% of its charge, over %s %%", holds, spec.Beside(most, out.Limit(level)), spec.Plain(out.Limit(level))), chargeAt(f.Pack))
}

func cargoCharge() Rule {
	return Rule{
		ID: "cargo-charge-over-30", Family: Moving, Since: "0.2.0", InForceFrom: "2016-04-01",
		Levels: []Level{
			from(spec.Note, 30, "percent").remedy("discharge it to 30 % where the equipment allows: for packs in equipment it is recommended, not required"),
			from(spec.Stop, 30, "percent"),
		},
		Title:     "The pack holds too much charge to fly as cargo",
		Rationale: "A pack that holds little charge burns less fiercely and seldom sets its neighbors alight. Packs shipped alone by air hold at most 30 %.",
		Remedy:    "discharge it until it surely holds 30 % or less, and measure its rested voltage again",
		Source:    cargoRule("at most 30 percent state of charge when not packed with or contained in equipment; IATA packing instruction 965 has it since 1 April 2016"),
		Needs:     []Input{installedGiven(), startOfCharge()},
		Applies:   func(f *Facts) bool { return by(spec.AirCargo)(f) && !f.Moving.PackedWith },
		Check: func(f *Facts, out *Out) {
			level := 0
			if f.Moving.spare() {
				level = 1
			}
			overCharge(f, out, level)
		},
	}
}

func cargoChargePackedWith() Rule {
	const leastWh = 2.7 // the rule speaks of what is over it
	return Rule{
		ID: "cargo-charge-packed-with", Family: Moving, Since: "0.2.0", InForceFrom: "2026-01-01", Levels: []Level{from(spec.Stop, 30, "percent")},
		Title:     "A pack beside its equipment holds too much charge to fly as cargo",
		Rationale: "Since 2026 packs over 2.7 Wh that are packed with equipment hold at most 30 %, as packs shipped alone do.",
		Remedy:    "discharge it until it surely holds 30 % or less, and measure its rested voltage again",
		Source:    spec.Source{Kind: spec.Standard, Title: "IATA Dangerous Goods Regulations, 67th edition", Clause: "UN 3481 packed with equipment, over 2.7 Wh: at most 30 % from 1 January 2026, as a trainer's page states it", Year: 2026, Standing: spec.Read},
		Needs:     []Input{startOfCharge()},
		Applies: func(f *Facts) bool {
			return by(spec.AirCargo)(f) && f.Moving.PackedWith && beyond(f.Moving.EnergyWh, leastWh)
		},
		Check: func(f *Facts, out *Out) { overCharge(f, out, 0) },
	}
}

func cargoAircraftOnly() Rule {
	return Rule{
		ID: "cargo-aircraft-only", Family: Moving, Since: "0.2.0", InForceFrom: "2019-03-06", Levels: []Level{at(spec.Note)},
		Title:     "The pack flies on cargo aircraft only",
		Rationale: "Lithium ion packs that are shipped alone are forbidden as cargo on passenger aircraft.",
		Remedy:    "have it shipped by a carrier with cargo aircraft, by somebody who is trained in dangerous goods, with the label for cargo aircraft only",
		Source:    cargoRule("lithium ion batteries are prohibited as cargo on passenger aircraft when not packed with or contained in equipment"),
		Needs:     []Input{installedGiven()},
		Applies:   func(f *Facts) bool { return by(spec.AirCargo)(f) && !f.Moving.PackedWith },
		Check: func(f *Facts, out *Out) {
			if f.Moving.spare() {
				out.Say(0, "the pack is shipped by itself, so no passenger aircraft may carry it", "/pack", "/mode", "/installed")
			}
		},
	}
}
