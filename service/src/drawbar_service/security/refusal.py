"""Why a request is turned away before its body is read."""


class Refused(Exception):  # noqa: N818 - it names what happened
    """A request is turned away.

    Parameters
    ----------
    status : int
        401, 403, 429 or 503.
    detail : str
        What happened and what would be right; nothing the caller sent.
    headers : dict
        Of the answer.
    """

    def __init__(self, status: int, detail: str, headers: dict[str, str]) -> None:
        super().__init__(status, detail)
        self.status = status
        self.detail = detail
        self.headers = headers
