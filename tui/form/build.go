package form

import (
	"leadline/logbook"
	"leadline/tui/part"
)

// Build makes the form that is wanted.
func Build(e *part.Env, w part.Want) *Form {
	switch w := w.(type) {
	case part.BandOf:
		return newBandForm(e, w.Tank, w.Parameter, w.Every)
	case part.RefillOf:
		return newRefillForm(e, w.Tank, w.Stock)
	case part.StrikeOf:
		return newStrikeForm(e, w)
	case part.CorrectionOf:
		return newCorrectForm(e, w.Tank, w.Parameter, w.Old)
	case part.SnoozeOf:
		return newSnoozeForm(e, w.Tank, w.Answer)
	case part.ExportOf:
		return newExportForm(e, w.What, w.Of)
	default:
		f := w.(part.FormOf)
		return byKind()[f.Kind](e, f.Tank, f.Name)
	}
}

func byKind() map[part.FormKind]func(*part.Env, logbook.Tank, string) *Form {
	return map[part.FormKind]func(*part.Env, logbook.Tank, string) *Form{
		part.FirstTank: newFirstTankForm, part.NewTank: newTankForm, part.ThisTank: newTankChangeForm, part.OneDose: newDoseForm, part.DailyDosing: newDosingForm,
		part.WaterChange: newWaterChangeForm, part.Event: newEventForm, part.ChoreDone: newChoreDoneForm, part.NewChore: newChoreForm,
		part.NewStock: newStockForm, part.AMethod: newMethodForm, part.ASupplement: newSupplementForm,
	}
}
