"""What a printed sheet says beside the calculation: whose requirement it answers, and what is ordered."""

from datetime import date

from core.errors import ProjectFileError
from core.project.designation_pattern import DesignationPattern
from core.project.saved import Count, Name, Saved, Text


class Paperwork(Saved, frozen=True, kw_only=True):
    """Where the requirement comes from and who answers for the sheet.

    Parameters
    ----------
    customer, customer_reference : str
        For whom, and the mark under which they know it.
    requirement_source : str
        Document, letter or call that states what is asked.
    revision : str
        Of that document.
    requirement_date : str
        Of that document, as 2026-03-31; empty where it is not known.
    prepared_by, checked_by : str
        Who made the calculation, and who went through it.

    Raises
    ------
    ProjectFileError
        If the date is none.
    """

    customer: Text = ""
    customer_reference: Text = ""
    requirement_source: Text = ""
    revision: Text = ""
    requirement_date: Text = ""
    prepared_by: Text = ""
    checked_by: Text = ""

    def __post_init__(self) -> None:
        super().__post_init__()
        if not self.requirement_date:
            return
        try:
            is_date = date.fromisoformat(self.requirement_date).isoformat() == self.requirement_date
        except ValueError:
            is_date = False
        if not is_date:
            rule = "must be a date as 2026-03-31 (year, month, day)"
            raise ProjectFileError("requirement_date", rule, self.requirement_date, True)


class Pin(Saved, frozen=True, kw_only=True):
    """One contact of the motor's connector: its number or letter, what it carries, colour of the lead."""

    contact: Name
    signal: Name
    colour: Text = ""


class HandOver(Saved, frozen=True, kw_only=True):
    """What the supplier of the motor is told beside what the candidate says already.

    Parameters
    ----------
    quantity : int, optional
        How many are asked for.
    designation : str
        What the supplier calls the whole, where no pattern tells it.
    pattern : DesignationPattern, optional
        How the owner of the parts calls them; the designation then follows from the parts chosen.
    shaft_front, shaft_rear : str
        Shaft ends, where they differ from those of the frame.
    leads, connector : str
        Length, section and plug, where they differ from those of the frame.
    pins : tuple of Pin
        Contacts of the connector; a contact may occur once.
    counterpart : str
        Connector on the side of the machine.
    lubrication, wishes : str
        Grease, and whatever else is wanted.
    """

    quantity: Count | None = None
    designation: Text = ""
    pattern: DesignationPattern | None = None
    shaft_front: Text = ""
    shaft_rear: Text = ""
    leads: Text = ""
    connector: Text = ""
    pins: tuple[Pin, ...] = ()
    counterpart: Text = ""
    lubrication: Text = ""
    wishes: Text = ""

    def __post_init__(self) -> None:
        super().__post_init__()
        contacts = [pin.contact for pin in self.pins]
        double = next((contact for contact in contacts if contacts.count(contact) > 1), None)
        if double is not None:
            raise ProjectFileError("pins", "each contact may occur once", double, True)
