"""From a case to one advice: gates first, then the next step, the finding and the words on the card."""
