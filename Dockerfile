FROM python:3.11-slim-bookworm

RUN apt-get update \
 && apt-get install -y --no-install-recommends ffmpeg \
 && rm -rf /var/lib/apt/lists/* \
 && useradd --system --create-home carryover \
 && install -d -o carryover /data

WORKDIR /site
COPY requirements.txt .
RUN pip install --no-cache-dir -r requirements.txt
COPY manage.py .
COPY portal portal
COPY lessons lessons
COPY media_tools media_tools
COPY templates templates

USER carryover
ENV CARRYOVER_DATA=/data PYTHONUNBUFFERED=1
VOLUME /data
EXPOSE 8000
# Alone, the image is the whole site in one container, with nothing else to run
CMD ["python", "manage.py", "serve", "--host", "0.0.0.0"]
