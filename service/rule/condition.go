package rule

import (
	"strconv"

	"github.com/wattkeel/wattkeel/service/cell"
	"github.com/wattkeel/wattkeel/service/spec"
)

// conditionRules refuse packs by what has happened to them.
func conditionRules() []Rule {
	const (
		outdoors = "do not charge or use it; put it outdoors on a non-combustible surface away from anything that burns, and take it to a recycling point"
		inspect  = "do not charge it until somebody who knows packs has opened its wrapping, looked at every cell and measured its voltages after a day's rest; then take the condition out of the list"
	)
	return []Rule{
		condition("pack-swollen", spec.Swollen, spec.Stop, "The pack is swollen",
			"Swelling is gas from a decomposing cell. Charging it can tear the foil and set the pack alight.", outdoors,
			cell.FireBody("stop using on a change in shape")),
		condition("pack-punctured", spec.Punctured, spec.Stop, "The pack is punctured",
			"Air and moisture react with the cell, and its layers may be shorted.", outdoors,
			westYorkshire("do not use swollen, dented, punctured or wet batteries")),
		condition("pack-dented", spec.Dented, spec.Stop, "The pack is dented",
			"A dent may have brought the layers of a cell into contact; it may short hours later, or when charged.", inspect,
			westYorkshire("do not use swollen, dented, punctured or wet batteries")),
		condition("pack-crashed", spec.Crashed, spec.Stop, "The pack was in a crash",
			"Damage inside does not show outside and may turn into a short hours later, or when charged.", inspect,
			spec.Practice("a crashed pack is watched outdoors and inspected before it is charged")),
		condition("pack-water-exposed", spec.WaterExposed, spec.Stop, "The pack has been in water",
			"Water, salt water above all, corrodes and shorts cells and leads from inside the wrapping.", outdoors,
			spec.Source{Kind: spec.Guidance, Title: "South Wales Fire and Rescue Service, battery safety", Clause: "never charge if the battery had been dropped in water", Standing: spec.Read}),
		condition("lead-damaged", spec.LeadDamaged, spec.Stop, "A lead is damaged",
			"A bare or broken lead shorts the pack or misleads the charger about a cell's voltage.", "do not connect it; have the lead replaced, one wire at a time, then take the condition out of the list",
			spec.Practice("a pack with a damaged lead is not connected")),
		condition("pack-over-discharged", spec.OverDischarged, spec.Stop, "The pack has been run flat",
			"A lithium cell that was below its floor may be damaged inside although its voltage has recovered; a nimh cell that was driven into reversal vents.", "do not charge it; take the pack to a recycling point",
			spec.Practice("a pack that was run or left below its floor is not charged again")),
		condition("pack-overheated", spec.Overheated, spec.Stop, "The pack has been too hot",
			"Heat breaks down the layer that keeps a lithium cell stable; it may run away on the next charge.", outdoors,
			cell.FireBody("stop using on too much heat")),
		condition("history-unknown", spec.UnknownHistory, spec.Caution, "Nobody knows how the pack was treated",
			"A second-hand pack may have been crashed, soaked or run flat.", "look at it closely, measure every cell, charge it gently outdoors the first time, and stay with it",
			spec.Practice("a pack of unknown history is charged gently and watched")),
	}
}

func condition(id string, c spec.Condition, severity spec.Severity, title, rationale, remedy string, source spec.Source) Rule {
	return Rule{
		ID: id, Family: PackAlone, Since: "0.1.0", Levels: []Level{at(severity)},
		Title: title, Rationale: rationale, Remedy: remedy, Source: source,
		Needs: []Input{conditionGiven()},
		Check: func(f *Facts, out *Out) {
			for i, have := range f.Pack.Condition {
				if have == c {
					out.Say(0, "condition lists "+string(c)+": "+lowerFirst(title), "/pack/condition/"+strconv.Itoa(i))
				}
			}
		},
	}
}

func lowerFirst(s string) string { return string(s[0]|0x20) + s[1:] }
