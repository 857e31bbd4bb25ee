"""Background work of the sale: e-mails go out from here, never inside a transaction."""

from smtplib import SMTPException

from django.core.mail import EmailMessage
from django.tasks import task
from django.utils import timezone

from orders.models import Letter
from orders.services import letters


@task()
def send_letter(letter_id: int) -> str:
    """Send one kept letter by e-mail; a letter already sent is left alone."""
    letter = Letter.objects.filter(pk=letter_id, way=Letter.Way.EMAIL).first()
    if letter is None or letter.sent_at is not None:
        return "nothing to send"
    try:
        EmailMessage(subject=letter.subject, body=letter.body, to=[letter.to]).send()
    except (OSError, SMTPException) as error:
        letters.mark_trouble(letter_id=letter_id, trouble=f"The mail server said: {error}")
        return "trouble"
    letters.mark_sent(letter_id=letter_id, at=timezone.now())
    return "sent"
