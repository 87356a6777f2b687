"""The one exception that means: the input is at fault, not the program."""


class InputError(Exception):
    """A file, a field or an argument that cannot be used. `str()` of it is one line, "file:where: what".

    file   path as the user gave it, or the name of an option
    where  line number, field name, or "" when the whole file is meant
    what   the value and what is allowed, in one sentence
    """

    def __init__(self, file, where, what):
        self.file = str(file)
        self.where = where
        self.what = " ".join(str(what).split())
        place = self.file if where in ("", None) else f"{self.file}:{where}"
        super().__init__(f"{place}: {self.what}")

    def __reduce__(self):
        # So that one raised in a worker process arrives whole.
        return type(self), (self.file, self.where, self.what)
