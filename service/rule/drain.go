package rule

import (
	"strconv"

	"github.com/wattkeel/wattkeel/service/spec"
)

// Draining is what a question has worked out about a pack that is left.
type Draining struct {
	Connected  bool    // something stays connected
	Cell       int     // the cell that is unsafe first, counted from 1
	UnsafeDays float64 // the shortest time until it is
	Uneven     bool    // the drains take more from one cell than from another
	SpreadMV   float64 // highest less lowest rested cell after the idle time
}

// drainRules judge what is left connected to a resting pack.
func drainRules() []Rule { return []Rule{alarmLeft(), leftTooLong(), drainUnbalances()} }

// untilUnsafe is a rule about the time until a cell is unsafe.
func untilUnsafe(id, title, rationale, remedy, what string, connected bool, at ...string) Rule {
	return Rule{
		ID: id, Family: AtRest, Since: "0.2.0", Levels: []Level{{Severity: spec.Caution, Unit: "days"}},
		Title: title, Rationale: rationale, Remedy: remedy,
		Source: arithmetic("the charge down to the safe-start voltage, or for nimh to empty, over the standing current and self-discharge, with the least capacity and charge and the most self-discharge that are likely"),
		Value:  "soonest_unsafe_days", Against: "idle_days",
		Needs:   []Input{idleDays()},
		Applies: func(f *Facts) bool { return f.Draining != nil && f.Draining.Connected == connected },
		Check: func(f *Facts, out *Out) {
			if d := f.Draining; d.UnsafeDays < *f.IdleDays {
				out.Hit(0, d.UnsafeDays, *f.IdleDays, "cell "+strconv.Itoa(d.Cell)+" may be unsafe after "+spec.Beside(d.UnsafeDays, *f.IdleDays)+" days "+what+", and the pack is left for "+spec.Plain(*f.IdleDays)+" days", at...)
			}
		},
	}
}

func alarmLeft() Rule {
	return untilUnsafe("alarm-left-connected", "What is left connected runs the pack down",
		"An alarm, a meter or a receiver that stays plugged in draws a few milliamperes day and night, and takes a cell below where it may be charged.",
		"unplug everything before the pack is put away", "with this connected", true, "/drains", "/idle_days")
}

func leftTooLong() Rule {
	return untilUnsafe("left-too-long", "The pack runs itself down before anybody looks",
		"A cell loses charge by itself, and a lithium cell that has gone below its floor may not be charged again.",
		"bring it to storage charge now, and look at it again sooner", "by its own self-discharge", false, "/idle_days")
}

func drainUnbalances() Rule {
	return Rule{
		ID: "drain-unbalances-cells", Family: AtRest, Since: "0.2.0", Levels: []Level{from(spec.Caution, 30, "mv")},
		Title:     "What is left connected pulls the cells apart",
		Rationale: "A meter or a receiver that takes its power from some of the cells empties those alone; the charger must make the difference good, and the lowest cell is run too low.",
		Remedy:    "unplug it, or connect it across the whole pack",
		Source:    spec.Practice("rested cells are kept within 30 mV of each other"),
		Value:     "spread_after_mv",
		Needs:     []Input{idleDays()},
		Applies:   func(f *Facts) bool { return f.Draining != nil && f.Draining.Uneven && lithium(f) },
		Check: func(f *Facts, out *Out) {
			if mv := f.Draining.SpreadMV; beyond(mv, out.Limit(0)) {
				out.Hit(0, mv, out.Limit(0), "after "+spec.Plain(*f.IdleDays)+" days the cells rest "+spec.Beside(mv, out.Limit(0))+" mV apart", "/drains")
			}
		},
	}
}
