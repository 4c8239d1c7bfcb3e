package rule

import (
	"fmt"
	"math"

	"github.com/wattkeel/wattkeel/service/spec"
)

// storageRules say what the charger can do about storage charge.
func storageRules() []Rule {
	return []Rule{storageUnavailable(), storageSlow(), noWayDown(), tooHotToDischarge()}
}

// Storing is what a storage plan worked out about a discharge.
type Storing struct {
	NoWay string // why the charger cannot do it; empty where it can, and where nothing is to be discharged
	At    string // the JSON Pointer at which that stands, or could be said
}

func noWayDown() Rule {
	return Rule{
		ID: "no-way-to-discharge", Family: OnCharger, Since: "0.2.0", Levels: []Level{at(spec.Note)},
		Title:     "The pack should come down, and no charger here takes it down",
		Rationale: "A pack that holds more than storage charge ages faster and burns more fiercely. Without a charger that discharges, something else must take the charge out, and somebody must stop it in time.",
		Remedy:    "use one of the alternatives, or give a charger with its discharge current or power",
		Source:    spec.Practice("a charged pack that will not be used within a week is run down to storage charge"),
		Applies:   func(f *Facts) bool { return f.Storing != nil },
		Check: func(f *Facts, out *Out) {
			if f.Storing.NoWay != "" {
				out.Say(0, "the pack should be discharged for storage, but "+f.Storing.NoWay, f.Storing.At)
			}
		},
	}
}

func storageUnavailable() Rule {
	return Rule{
		ID: "storage-unavailable", Family: OnCharger, Since: "0.1.0", Levels: []Level{at(spec.Note)},
		Title:     "The charger cannot bring a full pack to storage charge",
		Rationale: "A full pack that is not used within a week should come down to storage charge.",
		Remedy:    "charge only when the pack will be used, or run it down in the model",
		Source:    spec.Practice("more than a week idle: storage charge"),
		Needs: []Input{
			chargerField("storage_program", func(c *spec.Charger) bool { return c.StorageProgram != nil }),
			needs(func(f *Facts) bool {
				c := f.Charger
				known := c == nil || c.StorageProgram == nil || *c.StorageProgram // the first need says so, or it does not matter
				return known || c.MaxDischargePowerW != nil || c.MaxDischargeCurrentA != nil
			}, "/charger/max_discharge_power_w", "/charger/max_discharge_current_a"),
		},
		Applies: lithium,
		Check: func(f *Facts, out *Out) {
			if !*f.Charger.StorageProgram && dischargeA(f.Charger) == 0 {
				out.Say(0, "the charger has neither a storage program nor a discharge program", "/charger/storage_program", "/charger/max_discharge_current_a")
			}
		},
	}
}

// LeastDischargeA and LeastDischargeW are the amperes and watts below which a
// discharge program is not worth the name.
const (
	LeastDischargeA = 0.001
	LeastDischargeW = 0.01
)

// dischargeA is the charger's largest discharge current, 0 where it has none
// worth the name.
func dischargeA(c *spec.Charger) float64 {
	if c.MaxDischargeCurrentA != nil {
		if *c.MaxDischargeCurrentA < LeastDischargeA {
			return 0
		}
		return *c.MaxDischargeCurrentA
	}
	if c.MaxDischargePowerW != nil && *c.MaxDischargePowerW >= LeastDischargeW {
		return math.Inf(1)
	}
	return 0
}

func storageSlow() Rule {
	return Rule{
		ID: "storage-discharge-slow", Family: OnCharger, Since: "0.1.0", Levels: []Level{from(spec.Note, 3, "h")},
		Title:     "The charger takes hours to bring a full pack to storage charge",
		Rationale: "Most small chargers discharge at a few watts; nobody stays with the pack that long.",
		Remedy:    "run the pack down in the model and finish on the charger",
		Source:    arithmetic("the energy between full and storage charge over the discharge power, or the charge over the discharge current"),
		Value:     "$storage_h",
		Needs: []Input{chargerField("max_discharge_power_w", func(c *spec.Charger) bool {
			return c.MaxDischargePowerW != nil
		})},
		Applies: lithium,
		Check: func(f *Facts, out *Out) {
			amp := dischargeA(f.Charger)
			if amp == 0 {
				return
			}
			curve := f.Chemistry.Curve
			z := curve.Charge(f.Chemistry.StorageV.Value)
			ah := f.Pack.CapacityMAh / 1000
			hours := (1 - z) * ah / amp
			if w := f.Charger.MaxDischargePowerW; *w >= LeastDischargeW {
				wh := float64(f.Pack.CellsSeries) * ah * (curve.Integral(1) - curve.Integral(z))
				hours = max(hours, wh / *w)
			}
			if beyond(hours, out.Limit(0)) {
				out.Hit(0, hours, out.Limit(0), "from full to storage charge the charger takes about "+spec.Beside(hours, out.Limit(0))+" h", "/charger/max_discharge_power_w", "/charger/max_discharge_current_a")
			}
		},
	}
}

func tooHotToDischarge() Rule {
	return Rule{
		ID: "too-hot-to-discharge", Family: AtThisPlace, Since: "0.2.0", Levels: []Level{from(spec.Stop, 60, "degc")},
		Title:     "It is too hot to discharge",
		Rationale: "A discharge heats the pack further, and a cell near its limit swells or runs away.",
		Remedy:    "let the pack cool outdoors or on stone until it has the temperature of the room, and look it over before anything is connected",
		Source:    spec.Practice("cells are sold for discharge up to 60 °C"),
		Value:     "max($temperatures)",
		Needs:     []Input{temperature()},
		Applies:   func(f *Facts) bool { return f.Storing != nil },
		Check: func(f *Facts, out *Out) {
			if _, hot := f.temperatures(); hot > out.Limit(0) {
				out.Hit(0, hot, out.Limit(0), fmt.Sprintf("%s is at %s °C, above %s °C", whose(f, hot), spec.Plain(hot), spec.Plain(out.Limit(0))), temperatureFields(f)...)
			}
		},
	}
}
