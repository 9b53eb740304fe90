package tui

import "leadline/logbook"

// build makes the screen that is wanted.
func (a *app) build(w want) screen {
	e := a.env
	switch w := w.(type) {
	case chartOf:
		p := newParameterScreen(e, w.tank, w.as)
		p.then = w.then
		return p
	case testDayOf:
		return newTestDay(e, w.tank, w.known)
	case alertsOf:
		return newAlertList(e, a.home)
	case journalOf:
		return newJournal(e, w.tank)
	case upkeepOf:
		return newUpkeep(e, w.tank, w.subject)
	case changesOf:
		if w.around.IsZero() {
			w.around = e.moment().AddDate(0, 0, -28)
		}
		return newChanges(e, w.tank, w.around)
	case whatIfOf:
		return newWhatIf(e, w.line)
	case bandsOf:
		return newBandPicker(e, w.tank, w.measured)
	default:
		return buildForm(e, w)
	}
}

func buildForm(e *env, w want) *form {
	switch w := w.(type) {
	case bandOf:
		return newBandForm(e, w.tank, w.parameter, w.every)
	case refillOf:
		return newRefillForm(e, w.tank, w.stock)
	case strikeOf:
		return newStrikeForm(e, w.tank, w.line)
	case correctionOf:
		return newCorrectForm(e, w.tank, w.parameter, w.old)
	case snoozeOf:
		return newSnoozeForm(e, w.tank, w.answer)
	case exportOf:
		return newExportForm(e, w.what, w.of)
	default:
		f := w.(formOf)
		return formsByKind()[f.kind](e, f.tank, f.name)
	}
}

func formsByKind() map[formKind]func(*env, logbook.Tank, string) *form {
	return map[formKind]func(*env, logbook.Tank, string) *form{
		firstTank: newFirstTankForm, newTank: newTankForm, thisTank: newTankChangeForm, oneDose: newDoseForm, dailyDosing: newDosingForm,
		waterChange: newWaterChangeForm, event: newEventForm, choreDone: newChoreDoneForm, newChore: newChoreForm,
		newStock: newStockForm, aMethod: newMethodForm, aSupplement: newSupplementForm,
	}
}
