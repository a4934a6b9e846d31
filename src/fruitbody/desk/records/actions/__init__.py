"""What the records room changes: the history and the clinic numbers here, names in `naming`."""

from fruitbody.desk.records.actions.history import OutsideTransactionError, next_clinic_number, write_history

__all__ = ["OutsideTransactionError", "next_clinic_number", "write_history"]
